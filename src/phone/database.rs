//! The phone's database (IndexedDB): transactions as futures, with strict durability.
//!
//! Written on web-sys, not on a crate, because a step may be called safe only when its
//! transaction is complete and flushed to disk (`durability: "strict"`), which the crates at hand
//! cannot ask for.

use crate::say;
use crate::words::tr;
use std::cell::RefCell;
use std::fmt;
use std::task::Poll;
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::JsFuture;
use web_sys::{DomException, IdbDatabase, IdbObjectStore, IdbOpenDbRequest, IdbRequest};
use web_sys::{IdbTransaction, IdbTransactionMode};

const NAME: &str = "peelcast";
const VERSION: u32 = 1;
const PATIENCE_MS: i32 = 8_000;

/// The versions of all jobs; keys are `JOB/REVISION`.
pub const JOURNAL: &str = "journal";
/// The photos; keys are their ids.
pub const PHOTOS: &str = "photos";

thread_local! {
    static OPEN: RefCell<Option<IdbDatabase>> = const { RefCell::new(None) };
}

/// Why something could not be stored or read.
#[derive(Clone, Debug, PartialEq)]
pub enum Trouble {
    /// The phone gives no more room.
    Full,
    /// The phone refuses a database, as some private windows do.
    Refused(String),
    /// Anything else, in the browser's words.
    Failed(String),
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Full => f.write_str(
                tr("This phone has no room left for Peelcast. The last step was not kept, though its field may still show it. Nothing stored before is lost. Free some room on the phone; or export a job with photos, delete it, and delete it for good in the settings. Then do the last step again."),
            ),
            Self::Refused(why) => f.write_str(&say!(
                "This browser window keeps no database ({why}). The last step was not kept, \
                 though its field may still show it. Nothing stored before is lost. Open \
                 Peelcast in a normal window, not a private one, and do the last step again.", why
            )),
            Self::Failed(why) => f.write_str(&say!(
                "The phone could not store the last step ({why}): it was not kept, though its \
                 field may still show it. Nothing stored before is lost. Do the step again; \
                 if it fails again, reload Peelcast.", why
            )),
        }
    }
}

/// What the browser threw or reported.
impl From<JsValue> for Trouble {
    fn from(value: JsValue) -> Self {
        let (name, message) = match value.dyn_ref::<DomException>() {
            Some(exception) => (exception.name(), exception.message()),
            None => (String::new(), format!("{value:?}")),
        };
        match name.as_str() {
            "QuotaExceededError" => Self::Full,
            "SecurityError" | "InvalidAccessError" => Self::Refused(message),
            _ => Self::Failed(if message.is_empty() { name } else { message }),
        }
    }
}

/// One transaction on one store. Nothing written in it counts before [`Work::finish`] returns.
pub struct Work {
    transaction: IdbTransaction,
    store: IdbObjectStore,
    ended: js_sys::Promise,
}

/// Begins a transaction that only reads.
pub async fn read(store: &str) -> Result<Work, Trouble> {
    begin(store, IdbTransactionMode::Readonly).await
}

/// Begins a transaction that writes. Transactions that write to one store run one after the
/// other, across all tabs.
pub async fn write(store: &str) -> Result<Work, Trouble> {
    begin(store, IdbTransactionMode::Readwrite).await
}

async fn begin(store: &str, mode: IdbTransactionMode) -> Result<Work, Trouble> {
    let database = database().await?;
    if let Ok(transaction) = transaction(&database, store, mode) {
        return Work::on(transaction, store);
    }
    // A phone may cut the connection while the app sleeps; the data are still there.
    OPEN.take();
    let database = self::database().await?;
    Work::on(transaction(&database, store, mode)?, store)
}

#[wasm_bindgen]
extern "C" {
    /// The browser's own database, called with the options that web-sys does not know yet.
    type Strict;
    #[wasm_bindgen(method, catch, js_name = transaction)]
    fn begin(
        this: &Strict,
        store: &str,
        mode: IdbTransactionMode,
        options: &JsValue,
    ) -> Result<IdbTransaction, JsValue>;
}

fn transaction(
    database: &IdbDatabase,
    store: &str,
    mode: IdbTransactionMode,
) -> Result<IdbTransaction, JsValue> {
    let options = js_sys::Object::new();
    js_sys::Reflect::set(&options, &"durability".into(), &"strict".into())?;
    let database: &Strict = database.unchecked_ref();
    database.begin(store, mode, &options)
}

async fn database() -> Result<IdbDatabase, Trouble> {
    if let Some(database) = OPEN.with_borrow(Clone::clone) {
        return Ok(database);
    }
    let refused = || Trouble::Refused(tr("it has no IndexedDB").into());
    let factory = super::window::window().indexed_db()?.ok_or_else(refused)?;
    let request = factory.open_with_u32(NAME, VERSION)?;
    request.set_onupgradeneeded(Some(&upgrade()));
    let database: IdbDatabase = in_time(answer(&request)).await?.unchecked_into();
    // A newer version in another tab wants to change the stores: let go of them.
    let holder = database.clone();
    let let_go = Closure::<dyn FnMut()>::new(move || {
        holder.close();
        OPEN.take();
    });
    database.set_onversionchange(Some(let_go.into_js_value().unchecked_ref()));
    OPEN.set(Some(database.clone()));
    Ok(database)
}

/// Gives up after [`PATIENCE_MS`]: some browsers never answer after a crash, and the app must
/// start all the same.
async fn in_time(
    opening: impl Future<Output = Result<JsValue, Trouble>>,
) -> Result<JsValue, Trouble> {
    let mut opening = std::pin::pin!(opening);
    let mut late = std::pin::pin!(super::window::pause(PATIENCE_MS));
    std::future::poll_fn(|context| {
        if let Poll::Ready(answer) = opening.as_mut().poll(context) {
            return Poll::Ready(answer);
        }
        late.as_mut()
            .poll(context)
            .map(|()| Err(Trouble::Refused(tr("it does not answer").into())))
    })
    .await
}

/// Creates the stores that are missing.
fn upgrade() -> js_sys::Function {
    let upgrade = |event: web_sys::Event| {
        let request: Option<IdbOpenDbRequest> = event.target().map(JsCast::unchecked_into);
        let database = request.and_then(|r| r.result().ok());
        if let Some(database) = database {
            let database: IdbDatabase = database.unchecked_into();
            for store in [JOURNAL, PHOTOS] {
                if !database.object_store_names().contains(store) {
                    // Where this fails the opening fails, and that is reported.
                    let _ = database.create_object_store(store);
                }
            }
        }
    };
    Closure::once_into_js(upgrade).unchecked_into()
}

/// The answer to a request.
async fn answer(request: &IdbRequest) -> Result<JsValue, Trouble> {
    let answered = js_sys::Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(answered).await {
        Ok(_) => Ok(request.result()?),
        Err(event) => match request.error() {
            Ok(Some(error)) => Err(JsValue::from(error).into()),
            _ => Err(event.into()),
        },
    }
}

impl Work {
    fn on(transaction: IdbTransaction, store: &str) -> Result<Self, Trouble> {
        let ended = js_sys::Promise::new(&mut |resolve, reject| {
            transaction.set_oncomplete(Some(&resolve));
            transaction.set_onabort(Some(&reject));
        });
        Ok(Self {
            store: transaction.object_store(store)?,
            transaction,
            ended,
        })
    }

    /// What is stored under `key`; `undefined` where nothing is.
    pub async fn get(&self, key: &str) -> Result<JsValue, Trouble> {
        answer(&self.store.get(&key.into())?).await
    }

    /// All keys that begin with `prefix`, in ascending order. Keys are ASCII.
    pub async fn keys(&self, prefix: &str) -> Result<Vec<String>, Trouble> {
        let all = if prefix.is_empty() {
            self.store.get_all_keys()?
        } else {
            let beyond = format!("{prefix}\u{7f}");
            let range = web_sys::IdbKeyRange::bound(&prefix.into(), &beyond.into())?;
            self.store.get_all_keys_with_key(&range)?
        };
        let keys: js_sys::Array = answer(&all).await?.unchecked_into();
        Ok(keys.iter().filter_map(|key| key.as_string()).collect())
    }

    /// Stores `value` under `key`.
    pub async fn put(&self, key: &str, value: &JsValue) -> Result<(), Trouble> {
        answer(&self.store.put_with_key(value, &key.into())?).await?;
        Ok(())
    }

    /// Takes away what is stored under `key`.
    pub async fn delete(&self, key: &str) -> Result<(), Trouble> {
        answer(&self.store.delete(&key.into())?).await?;
        Ok(())
    }

    /// Waits until everything is on the disk.
    pub async fn finish(self) -> Result<(), Trouble> {
        match JsFuture::from(self.ended).await {
            Ok(_) => Ok(()),
            Err(event) => match self.transaction.error() {
                Some(error) => Err(JsValue::from(error).into()),
                None => Err(event.into()),
            },
        }
    }
}
