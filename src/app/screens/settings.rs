//! Units, colours, what is stored, and what this phone can and cannot do.
//!
//! Ids: `units-metric`, `units-us`, `theme-auto`, `theme-light`, `theme-dark`, `theme-sun`,
//! `language-en`, `language-de`, `lens-card`, `storage`, `ask-lasting`, `limits`, `bring-back-sample`, `deleted`, `no-deleted`, `about`.

use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::shown::Shown;
use crate::app::parts::standing;
use crate::app::record;
use crate::app::route::Route;
use crate::app::settings::{Settings, Theme};
use crate::app::state::use_desk;
use crate::job::BIN_DAYS;
use crate::phone::room::{self, Room};
use crate::phone::store::Deleted;
use crate::phone::{alert, local, window};
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::{Language, tr};
use leptos::prelude::*;

/// The settings page.
#[component]
pub fn SettingsPage() -> impl IntoView {
    view! {
        <Units />
        <Themes />
        <Languages />
        <Lenses />
        <Storage />
        <Bin />
        <Limits />
        <About />
    }
}

#[component]
fn Units() -> impl IntoView {
    let desk = use_desk();
    let answers = vec![
        Answer::new("metric", tr("Metric")).help(tr("mm, g, ml, °C")),
        Answer::new("us", tr("US customary")).help(tr("inches and fractions, oz, fl oz, °F")),
    ];
    let chosen = Memo::new(move |_| match desk.settings.get().system {
        System::Metric => "metric".to_owned(),
        System::UsCustomary => "us".to_owned(),
    });
    let choose = move |key: String| {
        let system = match key.as_str() {
            "us" => System::UsCustomary,
            _ => System::Metric,
        };
        desk.settings.update(|settings| settings.system = system);
    };
    view! {
        <Choice name="units" legend=tr("Units") answers=Signal::stored(answers) chosen choose lines=true />
    }
}

/// The languages, each under its own name. The page is loaded anew in the one that is chosen.
#[component]
fn Languages() -> impl IntoView {
    let desk = use_desk();
    let answer = |language: Language| Answer::new(language.tag(), language.own_name());
    let answers = Language::ALL.map(answer).to_vec();
    let chosen = Memo::new(move |_| desk.settings.get().language.tag().to_owned());
    let choose = move |tag: String| {
        let settings = Settings {
            language: Language::of_phone(&tag),
            ..desk.settings.get_untracked()
        };
        match local::keep_settings(&settings) {
            true => {
                // It is kept in words of the language before.
                local::keep_lines(&[]);
                window::reload();
            }
            false => desk.settings.set(settings),
        }
    };
    view! {
        <Choice name="language" legend=tr("Language") answers=Signal::stored(answers) chosen choose />
    }
}

#[component]
fn Themes() -> impl IntoView {
    let desk = use_desk();
    let answer = |theme: Theme| {
        let (word, help) = match theme {
            Theme::Auto => (tr("Automatic"), tr("as the phone is set")),
            Theme::Light => (tr("Light"), tr("dark on paper")),
            Theme::Dark => (tr("Dark"), tr("light on slate")),
            Theme::Sun => (tr("Sun"), tr("black on white, heavier lines")),
        };
        Answer::new(theme.name(), word).help(help)
    };
    let answers = Theme::ALL.map(answer).to_vec();
    let chosen = Memo::new(move |_| desk.settings.get().theme.name().to_owned());
    let choose = move |key: String| {
        if let Some(theme) = Theme::ALL.into_iter().find(|theme| theme.name() == key) {
            desk.settings.update(|settings| settings.theme = theme);
        }
    };
    view! {
        <Choice name="theme" legend=tr("Colours") answers=Signal::stored(answers) chosen choose lines=true />
    }
}

#[component]
fn Lenses() -> impl IntoView {
    view! {
        <section>
            <h2>{tr("Lens card")}</h2>
            <p>
                {tr("Once measured, this phone’s lens makes every photo’s range narrower. You need a printer and five photos.")}
            </p>
            <a id="lens-card" class="button" href=Route::Lens.to_string()>
                {tr("Measure the lens")}
            </a>
        </section>
    }
}

#[component]
fn Storage() -> impl IntoView {
    let desk = use_desk();
    let room = RwSignal::new(Room::default());
    let look = move || {
        leptos::task::spawn_local(async move {
            room.try_set(room::room().await);
        });
    };
    look();
    let ask = move |_| {
        leptos::task::spawn_local(async move {
            if !room::ask_lasting().await {
                desk.warn(
                    tr("The phone did not promise to keep the data. Put Peelcast on the home screen and ask again from there; until then export your jobs."),
                );
            }
            room.try_set(room::room().await);
        });
    };
    let used = move || match room.get() {
        Room {
            used: Some(used),
            granted: Some(granted),
            ..
        } => say!(
            "Peelcast uses {used} of {granted} on this phone.",
            used = size(used),
            granted = size(granted)
        ),
        _ => tr("This browser does not say how much room there is.").into(),
    };
    let lasting = move || match room.get().lasting {
        Some(true) => tr("The phone keeps it until you delete it."),
        Some(false) => tr(
            "The phone may clear it when it runs short of room, and some phones after a week without use. Export your jobs, put Peelcast on the home screen, and ask the phone to keep it.",
        ),
        None => tr("This browser promises nothing about keeping it. Export your jobs."),
    };
    view! {
        <section id="storage">
            <h2>{tr("Storage")}</h2>
            <p>{used} " " {lasting}</p>
            <button
                id="ask-lasting"
                hidden=move || room.get().lasting == Some(true)
                on:click=ask
            >
                {tr("Ask the phone to keep it")}
            </button>
        </section>
    }
}

/// Bytes in words.
fn size(bytes: f64) -> String {
    match bytes {
        b if b < 1e6 => say!("{size} kB", size = show::fixed(b / 1e3, 0)),
        b if b < 1e9 => say!("{size} MB", size = show::fixed(b / 1e6, 1)),
        b => say!("{size} GB", size = show::fixed(b / 1e9, 1)),
    }
}

/// Deleted jobs, and the sample.
#[component]
fn Bin() -> impl IntoView {
    let desk = use_desk();
    let one = move |deleted: Deleted| {
        let job = deleted.job.clone();
        let id = job.id.clone();
        let forget = move || {
            let id = id.clone();
            leptos::task::spawn_local(async move { desk.forget(&id).await });
        };
        // The one thing that nothing takes back, so the one thing that is asked again.
        let asked = RwSignal::new(false);
        let for_good = move |_| match asked.get_untracked() {
            true => forget(),
            false => asked.set(true),
        };
        view! {
            <li class="row wrap">
                <span class="grow">{standing::job_name(&deleted.job)}</span>
                <button on:click=move |_| {
                    desk.put_job(job.clone(), tr("Brought back"));
                }>{tr("Bring back")}</button>
                <p class="stop" role="alert" hidden=move || !asked.get()>
                    {tr("Nothing brings it or its photos back then. If you are not sure, bring it back and export it first.")}
                </p>
                <button hidden=move || !asked.get() on:click=move |_| asked.set(false)>
                    {tr("Keep it")}
                </button>
                <button class="remove" on:click=for_good>
                    {move || if asked.get() { tr("Yes, delete it for good") } else { tr("Delete for good") }}
                </button>
            </li>
        }
        .into_any()
    };
    let none = move || desk.deleted.with(Vec::is_empty);
    view! {
        <section>
            <h2>{tr("Bring back")}</h2>
            <p id="no-deleted" class="soft" hidden=move || !none()>
                {say!("No job is deleted. One that you delete on its page stands here for {BIN_DAYS} days.", BIN_DAYS)}
            </p>
            <p hidden=none>
                {say!("Deleted jobs and their photos are kept for {BIN_DAYS} days. Deleting one for good makes room now.", BIN_DAYS)}
            </p>
            <ul id="deleted" class="list" hidden=none>
                {move || desk.deleted.get().into_iter().map(one).shown()}
            </ul>
            <button
                id="bring-back-sample"
                on:click=move |_| leptos::task::spawn_local(record::add_sample(desk))
            >
                {tr("Bring back the sample job")}
            </button>
        </section>
    }
}

#[component]
fn Limits() -> impl IntoView {
    let limits = alert::limits().into_iter();
    view! {
        <section id="limits">
            <h2>{tr("What this phone cannot do")}</h2>
            <ul>{limits.map(|limit| view! { <li>{limit}</li> }).shown()}</ul>
        </section>
    }
}

#[component]
fn About() -> impl IntoView {
    view! {
        <section id="about">
            <h2>{tr("About Peelcast")}</h2>
            <p>{say!("Version {version}.", version = env!("CARGO_PKG_VERSION"))}</p>
            <p>
                {tr("Photos, jobs and times stay on this phone; nothing is sent anywhere. A file leaves it only when you export or share one.")}
            </p>
            <p>
                {tr("Every number comes with its range and says where it is from. A plan helps you to think; it is no promise. Before you work, read the data sheets of your paste and your casting medium, try both on a hidden spot, ask the owner and, for anything old or protected, a conservator, and keep to the rules of the place: lead paint, ladders and scaffolds, dust, and food have their own laws and their licensed people. Peelcast cannot certify that a mould is fit for food.")}
            </p>
        </section>
    }
}
