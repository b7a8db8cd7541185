//! The desk: what all screens share, owned by the root of the app and never by a page.

use super::ledger::Ledger;
use super::rehearsal::Rehearsal;
use super::route::Route;
use super::settings::Settings;
use super::watch::Running;
use crate::clock::Tempo;
use crate::job::{Backups, Begun, Job, JobId, Line, Memory, Piece, PieceId, learned_from};
use crate::phone::database::Trouble;
use crate::phone::room::Room;
use crate::phone::store::{self, Deleted, Unread};
use crate::phone::update::Rest;
use crate::phone::{self, local, photos, window, writer};
use crate::quantity::show;
use crate::say;
use crate::survey::calibrate::LensCard;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use leptos::prelude::*;
use std::collections::{BTreeMap, VecDeque};

/// A message at the head of the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Toast {
    /// Counts the toasts of this session.
    pub number: u32,
    /// The sentence.
    pub text: String,
    /// Whether something went wrong.
    pub wrong: bool,
    /// The change that its button takes back.
    pub undo: Option<u32>,
}

/// One change that can be taken back.
#[derive(Clone)]
struct Undo {
    number: u32,
    job: JobId,
    /// What was changed, in words.
    what: String,
    before: Option<Job>,
}

/// How a change outside the jobs is taken back.
type WayBack = Box<dyn FnOnce()>;

/// What is to become of a job: gets it as it is stored (`None` where there is none) and returns
/// what shall be stored (`None` takes it away).
pub type Change = Box<dyn FnOnce(Option<Job>) -> Option<Job>>;

/// Brings back what a change took away: gets the job as it was before that change, and as it is now.
type Inverse = Box<dyn FnOnce(&Job, &mut Job)>;

/// Whether a change is told at the head of the screen, and what the button there does.
enum Tell {
    No,
    /// Takes the job back to what it was before.
    TakeBack,
    /// Brings back what the change took away, and leaves what was done since.
    BringBack(Inverse),
}

struct Waiting {
    job: JobId,
    what: String,
    tell: Tell,
    undoable: bool,
    /// Where to go once it is stored.
    then: Option<Route>,
    change: Change,
}

/// What all screens share. Cheap to copy; get it with [`use_desk`].
#[derive(Clone, Copy)]
pub struct Desk {
    /// Whether the stored jobs have been read.
    pub ready: RwSignal<bool>,
    /// All jobs as they are stored. Screens read it and change it through [`Desk::update`] alone.
    pub jobs: RwSignal<Vec<Job>>,
    /// What the list says of each; here before the jobs are.
    pub lines: RwSignal<Vec<Line>>,
    /// The exports that were made.
    pub backups: RwSignal<Backups>,
    /// The room on this phone, as it was last asked.
    pub room: RwSignal<Room>,
    /// The clock of what is on the screen: ticks each second while someone looks, not at all while
    /// hidden.
    pub now: RwSignal<DateTime<Utc>>,
    /// Units and theme.
    pub settings: RwSignal<Settings>,
    /// From when on each paste is learned anew.
    pub begun: RwSignal<Begun>,
    /// What all jobs together have taught.
    pub memory: Memo<Memory>,
    /// The lenses of this phone that were measured.
    pub lenses: RwSignal<Vec<LensCard>>,
    /// Where the user is; `None` where the address leads nowhere.
    pub route: RwSignal<Option<Route>>,
    /// The messages that stand at the head of the screen.
    pub toasts: RwSignal<Vec<Toast>>,
    /// Whether the page has a place of its own for news.
    pub places_news: RwSignal<bool>,
    /// Deleted jobs that can still be brought back.
    pub deleted: RwSignal<Vec<Deleted>>,
    /// The jobs of which no stored copy can be read.
    pub unread: RwSignal<Vec<Unread>>,
    /// Whether another window of the app writes, and this one follows it.
    pub follows: RwSignal<bool>,
    /// Whether a new version of the app waits.
    pub new_version: RwSignal<bool>,
    /// How the rest of the app stands, where there is anything to say of it.
    pub rest: RwSignal<Option<Rest>>,
    /// Whether paste is being mixed or brushed now: no time for questions.
    pub hands_on: RwSignal<bool>,
    /// Whether the app keeps the screen on now.
    pub stays_awake: RwSignal<bool>,
    /// The rehearsal that goes on.
    pub rehearsal: RwSignal<Option<Rehearsal>>,
    /// What runs, once the jobs are opened.
    pub running: RwSignal<Option<Memo<Vec<Running>>>>,
    ledger: StoredValue<Option<Ledger>>,
    undo: RwSignal<Vec<Undo>>,
    ways_back: StoredValue<Vec<(u32, WayBack)>, LocalStorage>,
    told_single: StoredValue<bool>,
    count: StoredValue<u32>,
    waiting: StoredValue<VecDeque<Waiting>, LocalStorage>,
    working: StoredValue<bool>,
}

/// The desk of this app.
pub fn use_desk() -> Desk {
    expect_context()
}

const UNDO_DEPTH: usize = 50;
const TOAST_SECONDS: u64 = 8;
/// So long one task may keep the page from scrolling.
const A_MOMENT: TimeDelta = TimeDelta::milliseconds(25);

impl Desk {
    /// Sets up the desk; call once, at the root.
    pub fn set_up() -> Self {
        let jobs = RwSignal::new(Vec::new());
        let begun = RwSignal::new(local::begun());
        let ledger = StoredValue::new(None::<Ledger>);
        let memory = move |jobs: &Vec<Job>| match ledger.get_value() {
            Some(ledger) => begun.with(|begun| (ledger.memory)(jobs, begun)),
            // There is no job yet, either.
            None => Memory::default(),
        };
        Self {
            ready: RwSignal::new(false),
            jobs,
            lines: RwSignal::new(lines_at_start()),
            backups: RwSignal::new(local::backups()),
            room: RwSignal::new(Room::default()),
            begun,
            memory: Memo::new(move |_| jobs.with(memory)),
            now: RwSignal::new(phone::now()),
            settings: RwSignal::new(Settings::load()),
            lenses: RwSignal::new(local::lens_cards()),
            route: RwSignal::new(Route::read(&window::hash())),
            toasts: RwSignal::new(Vec::new()),
            places_news: RwSignal::new(false),
            deleted: RwSignal::new(Vec::new()),
            unread: RwSignal::new(Vec::new()),
            follows: RwSignal::new(false),
            new_version: RwSignal::new(false),
            rest: RwSignal::new(None),
            hands_on: RwSignal::new(false),
            stays_awake: RwSignal::new(false),
            rehearsal: RwSignal::new(None),
            running: RwSignal::new(None),
            ledger,
            undo: RwSignal::new(Vec::new()),
            ways_back: StoredValue::new_local(Vec::new()),
            told_single: StoredValue::new(false),
            count: StoredValue::new(0),
            waiting: StoredValue::new_local(VecDeque::new()),
            working: StoredValue::new(false),
        }
    }

    /// Takes up the work with records; what was asked for before is done now.
    pub fn open(self, ledger: Ledger) {
        self.ledger.set_value(Some(ledger));
        self.go_on();
    }

    /// What is done with records, once that part of the program is here.
    pub fn ledger(self) -> Option<Ledger> {
        self.ledger.get_value()
    }

    /// The ways to what runs.
    pub fn running_coats(self) -> Option<AnyView> {
        let running = self.running.get()?;
        Some((self.ledger()?.running_coats)(self, running))
    }

    /// What is due next, for the window's title.
    pub fn soonest(self) -> Option<String> {
        let running = self.running.get()?;
        (self.ledger()?.soonest)(self, running)
    }

    /// A job as it is now, not followed.
    pub fn job_now(self, id: &JobId) -> Option<Job> {
        self.jobs
            .with_untracked(|jobs| jobs.iter().find(|job| job.id == *id).cloned())
    }

    /// How fast a piece's paste goes there, followed as that is learned.
    pub fn tempo(self, job: &JobId, piece: &Piece) -> Tempo {
        self.memory.with(|memory| memory.tempo(job, piece))
    }

    /// The job of that name, followed as it changes.
    pub fn job(self, id: &JobId) -> Memo<Option<Job>> {
        let id = id.clone();
        Memo::new(move |_| {
            self.jobs
                .with(|jobs| jobs.iter().find(|j| j.id == id).cloned())
        })
    }

    /// The piece of that name, followed as it changes.
    pub fn piece(self, job: &JobId, piece: &PieceId) -> Memo<Option<Piece>> {
        let (job, piece) = (job.clone(), piece.clone());
        Memo::new(move |_| {
            self.jobs.with(|jobs| {
                let job = jobs.iter().find(|j| j.id == job)?;
                job.pieces.iter().find(|p| p.id == piece).cloned()
            })
        })
    }

    /// Changes a job and stores it. The screens show the change once it is safely stored, a few
    /// milliseconds later; changes are stored in the order in which they were asked for. `what`
    /// names the change in the past tense ("Point moved").
    pub fn update(self, job: &JobId, what: &str, change: impl FnOnce(&mut Job) + 'static) {
        self.ask(job, what, None, Tell::No, on_job(change));
    }

    /// The same, and says so at the head of the screen, with a button that takes it back.
    pub fn update_and_tell(self, job: &JobId, what: &str, change: impl FnOnce(&mut Job) + 'static) {
        self.ask(job, what, None, Tell::TakeBack, on_job(change));
    }

    /// The same, where what is taken away has its own `inverse`: its button stays when there are
    /// other changes, and leaves them.
    pub fn update_and_tell_with(
        self,
        job: &JobId,
        what: &str,
        change: impl FnOnce(&mut Job) + 'static,
        inverse: impl FnOnce(&Job, &mut Job) + 'static,
    ) {
        let tell = Tell::BringBack(Box::new(inverse));
        self.ask(job, what, None, tell, on_job(change));
    }

    /// Changes a job, and goes to `place` once that is stored.
    pub fn update_and_open(
        self,
        job: &JobId,
        what: &str,
        place: Route,
        change: impl FnOnce(&mut Job) + 'static,
    ) {
        self.ask(job, what, Some(place), Tell::No, on_job(change));
    }

    /// Changes one piece of a job; see [`Desk::update`].
    pub fn update_piece(
        self,
        job: &JobId,
        piece: &PieceId,
        what: &str,
        change: impl FnOnce(&mut Piece) + 'static,
    ) {
        let piece = piece.clone();
        self.update(job, what, move |job| {
            if let Some(piece) = job.pieces.iter_mut().find(|p| p.id == piece) {
                change(piece);
            }
        });
    }

    /// Stores a new job and opens it.
    pub fn add_job(self, job: Job) {
        let place = Route::Job(job.id.clone());
        self.add_job_and_open(job, place);
    }

    /// The same, and a place in it.
    pub fn add_job_and_open(self, job: Job, place: Route) {
        let id = job.id.clone();
        let change = Box::new(move |_| Some(job));
        self.ask(&id, tr("Job added"), Some(place), Tell::No, change);
        // The first own job is worth keeping: ask the phone not to clear it by itself.
        leptos::task::spawn_local(async {
            phone::room::ask_lasting().await;
        });
    }

    /// A job of today; nothing is stored yet.
    pub fn new_job(self) -> Job {
        let today = phone::today();
        Job {
            id: JobId::new(&phone::new_id()),
            name: say!("Job of {today}", today = show::day(today)),
            date: Some(today),
            created: phone::now(),
            ..Job::default()
        }
    }

    /// A piece beside so many others, with what was learned so far; nothing is stored yet.
    pub fn new_piece(self, others: usize) -> Piece {
        let mut piece = Piece {
            id: PieceId::new(&phone::new_id()),
            name: say!("Piece {count}", count = others + 1),
            ..Piece::default()
        };
        let jobs = self.jobs.get_untracked();
        let learned = |begun: &Begun| learned_from(&jobs, begun);
        piece.take_in(&self.begun.with_untracked(learned));
        piece
    }

    /// Stores a job that was here before.
    pub fn put_job(self, job: Job, what: &str) {
        let id = job.id.clone();
        self.ask(&id, what, None, Tell::No, Box::new(move |_| Some(job)));
    }

    /// Stores the job that comes with the app; when this is over it is shown.
    pub async fn put_first_job(self, job: Job) {
        self.store(Waiting {
            job: job.id.clone(),
            what: tr("The sample came with the app").into(),
            tell: Tell::No,
            undoable: false,
            then: None,
            change: Box::new(move |_| Some(job)),
        })
        .await;
    }

    /// Stores a job from a file, in the place of an older one if there is one, and says so.
    pub fn import_job(self, job: Job) {
        let (id, what) = (job.id.clone(), say!("{name} imported", name = job.name));
        let change = Box::new(move |_| Some(job));
        self.ask(&id, &what, None, Tell::TakeBack, change);
    }

    /// Takes a job away, goes to the list and says so, with a button that brings it back.
    pub fn delete_job(self, id: &JobId, name: &str) {
        let what = say!("{name} deleted", name);
        let change = Box::new(|_| None);
        self.ask(id, &what, Some(Route::Jobs), Tell::TakeBack, change);
    }

    /// Deletes a deleted job for good, with the photos that no other job names.
    pub async fn forget(self, id: &JobId) {
        self.deleted
            .update(|deleted| deleted.retain(|deleted| deleted.job.id != *id));
        self.undo
            .update(|undo| undo.retain(|entry| entry.job != *id));
        let forgotten = match store::forget(id).await {
            Ok(()) => self.clear_unused_photos().await,
            trouble => trouble,
        };
        if let Err(trouble) = forgotten {
            self.warn(trouble.to_string());
        }
    }

    /// Forgets the photos that no job names; none while there is a job that can't be read.
    pub async fn clear_unused_photos(self) -> Result<(), Trouble> {
        match self.unread.with_untracked(Vec::is_empty) {
            true => photos::clear_unused(&self.jobs.get_untracked()).await,
            false => Ok(()),
        }
    }

    /// Remembers that jobs left the phone in a file as they are now.
    pub fn backed_up(self, jobs: &[Job]) {
        let now = jobs.iter().map(|job| (job.id.clone(), job.rev));
        self.backups
            .update(|backups| backups.add(now, phone::now()));
        // Without room for it the next backup is asked for early.
        self.backups.with_untracked(local::keep_backups);
    }

    /// Whether the last change of a job can be taken back. Of a rehearsal nothing is kept.
    pub fn can_undo(self, job: &JobId) -> bool {
        let changed = |undo: &Vec<Undo>| undo.iter().any(|entry| entry.job == *job);
        self.rehearsal.with(Option::is_none) && self.undo.with(changed)
    }

    /// Takes back the last change of a job, and says which that was.
    pub fn undo(self, job: &JobId) {
        let last = self.undo.with_untracked(|undo| {
            let entry = undo.iter().rev().find(|entry| entry.job == *job);
            entry.cloned()
        });
        let Some(last) = last else { return };
        // What is not there any more can't be looked at.
        let there = self.route.get_untracked().and_then(|place| match place {
            Route::Details(_, piece) | Route::Heights(_, piece) | Route::Piece(_, piece, _) => {
                Some(piece)
            }
            _ => None,
        });
        let lost = |job: &Job| there.is_some_and(|of| job.pieces.iter().all(|p| p.id != of));
        match &last.before {
            None => self.go(&Route::Jobs),
            Some(before) if lost(before) => self.go(&Route::Job(job.clone())),
            Some(_) => {}
        }
        self.take_back(last.number);
        self.tell(say!("Undone: {what}.", what = last.what));
    }

    /// Forgets how the changes of a job are taken back: it was changed elsewhere, and going back
    /// would undo that too.
    pub fn forget_steps(self, job: &JobId) {
        self.withdraw_offers(job);
        self.undo
            .update(|undo| undo.retain(|entry| entry.job != *job));
    }

    /// Closes the messages that offer a way back to before an earlier change of a job: it would take
    /// along what was done since.
    fn withdraw_offers(self, job: &JobId) {
        let of_job = self.undo.with_untracked(|undo| {
            let entries = undo.iter().filter(|entry| entry.job == *job);
            entries.map(|entry| entry.number).collect::<Vec<_>>()
        });
        self.toasts.update(|toasts| {
            toasts.retain(|toast| toast.undo.is_none_or(|number| !of_job.contains(&number)));
        });
    }

    /// Takes back the change of that number and all later ones of the same job.
    pub fn take_back(self, number: u32) {
        let mut way = None;
        self.ways_back.update_value(|all| {
            let place = all.iter().position(|(of, _)| *of == number);
            way = place.map(|place| all.remove(place).1);
        });
        if let Some(way) = way {
            return way();
        }
        let entry = self
            .undo
            .with_untracked(|undo| undo.iter().find(|entry| entry.number == number).cloned());
        let Some(entry) = entry.filter(|entry| !self.rehearses(&entry.job)) else {
            return;
        };
        self.undo
            .update(|undo| undo.retain(|other| other.job != entry.job || other.number < number));
        let before = entry.before;
        self.enqueue(Waiting {
            job: entry.job,
            what: tr("Undone").into(),
            tell: Tell::No,
            undoable: false,
            then: None,
            change: Box::new(move |_| before),
        });
    }

    /// Says something at the head of the screen for a while.
    pub fn tell(self, text: impl Into<String>) {
        self.toast(text.into(), false, None);
    }

    /// Says what was changed outside the jobs, with a button that calls `back`. A page and its
    /// signals may be gone by then.
    pub fn tell_with_way_back(self, text: impl Into<String>, back: impl FnOnce() + 'static) {
        let number = self.next_number();
        self.ways_back.update_value(|all| {
            all.push((number, Box::new(back)));
            if all.len() > UNDO_DEPTH {
                drop(all.remove(0));
            }
        });
        self.toast(text.into(), false, Some(number));
    }

    /// Says what went wrong; stays until it is closed.
    pub fn warn(self, text: impl Into<String>) {
        self.toast(text.into(), true, None);
    }

    /// Closes a message.
    pub fn close(self, toast: u32) {
        self.toasts
            .try_update(|toasts| toasts.retain(|t| t.number != toast));
    }

    /// Goes to a place in the app.
    pub fn go(self, place: &Route) {
        window::go(&place.to_string(), false);
    }

    fn next_number(self) -> u32 {
        self.count.update_value(|n| *n += 1);
        self.count.get_value()
    }

    fn toast(self, text: String, wrong: bool, undo: Option<u32>) {
        let number = self.next_number();
        self.toasts.update(|toasts| {
            // News takes the place of older news; what went wrong stays until it is closed.
            toasts.retain(|t| t.text != text && (wrong || t.wrong));
            toasts.push(Toast {
                number,
                text,
                wrong,
                undo,
            });
        });
        if !wrong {
            let wait = std::time::Duration::from_secs(TOAST_SECONDS);
            set_timeout(move || self.close(number), wait);
        }
    }

    fn ask(self, job: &JobId, what: &str, then: Option<Route>, tell: Tell, change: Change) {
        self.enqueue(Waiting {
            job: job.clone(),
            what: what.to_owned(),
            tell,
            undoable: true,
            then,
            change,
        });
    }

    fn enqueue(self, waiting: Waiting) {
        self.waiting.update_value(|all| all.push_back(waiting));
        self.go_on();
    }

    fn go_on(self) {
        if !self.working.get_value() && self.ledger().is_some() {
            self.working.set_value(true);
            leptos::task::spawn_local(self.work());
        }
    }

    /// Stores what waits, one change after the other.
    async fn work(self) {
        loop {
            let mut next = None;
            self.waiting.update_value(|all| next = all.pop_front());
            let Some(waiting) = next else { break };
            self.store(waiting).await;
        }
        self.working.set_value(false);
    }

    /// Shows what another window has stored for all jobs together.
    pub fn follow_rest(self) {
        fn follow<T: PartialEq + Send + Sync + 'static>(shown: RwSignal<T>, stored: T) {
            if shown.with_untracked(|shown| *shown != stored) {
                shown.set(stored);
            }
        }
        follow(self.settings, Settings::load());
        follow(self.lenses, local::lens_cards());
        follow(self.begun, local::begun());
        follow(self.backups, local::backups());
    }

    /// Shows a job as it is stored now.
    pub fn show(self, id: &JobId, stored: Option<Job>) {
        self.jobs.update(|jobs| {
            let place = jobs.iter().position(|j| j.id == *id);
            match (place, stored) {
                (Some(place), Some(job)) => jobs[place] = job,
                (Some(place), None) => drop(jobs.remove(place)),
                (None, Some(job)) => jobs.push(job),
                (None, None) => {}
            }
        });
        self.list(Some(id));
    }

    /// Brings the list up to date with the jobs, of which one has changed.
    fn list(self, changed: Option<&JobId>) {
        let Some(ledger) = self.ledger() else { return };
        self.jobs.with_untracked(|jobs| {
            self.lines
                .update(|lines| (ledger.list)(lines, jobs, changed));
        });
    }

    /// The same for all jobs there are: first all stand and are found by their words, and are kept
    /// so; then it is worked out, a few at a time, how far those have come of which only their plan
    /// tells, the newest first.
    pub async fn list_all(self) {
        self.list(None);
        let awaiting: Vec<JobId> = self.lines.with_untracked(|lines| {
            let awaiting = lines.iter().rev().filter(|line| line.awaits_plan);
            awaiting.map(|line| line.id.clone()).collect()
        });
        if !awaiting.is_empty() {
            self.lines.with_untracked(|lines| local::keep_lines(lines));
        }
        self.plan_lines(awaiting).await;
    }

    /// Works out the lines of jobs that await their plan; the page can be scrolled meanwhile.
    async fn plan_lines(self, jobs: Vec<JobId>) {
        let mut jobs = jobs.into_iter().peekable();
        while jobs.peek().is_some() {
            let begun = phone::now();
            let mut found = BTreeMap::new();
            self.jobs.with_untracked(|all| {
                for id in jobs.by_ref() {
                    let job = all.iter().find(|job| job.id == id);
                    found.extend(job.map(|job| (id, Line::of(job))));
                    if phone::now() - begun > A_MOMENT {
                        break;
                    }
                }
            });
            self.lines.update(|list| {
                for old in list {
                    if let Some(new) = found.remove(&old.id) {
                        *old = new;
                    }
                }
            });
            window::pause(0).await;
        }
    }

    async fn store(self, waiting: Waiting) {
        let Waiting {
            job: id,
            what,
            tell,
            undoable,
            then,
            change,
        } = waiting;
        let shown = self
            .jobs
            .with_untracked(|jobs| jobs.iter().find(|j| j.id == id).cloned());
        if self.rehearses(&id) {
            self.show(&id, change(shown));
            then.iter().for_each(|place| self.go(place));
            return;
        }
        // Who works in this window writes here.
        writer::take_over().await;
        let Some(ledger) = self.ledger() else { return };
        let changed = (ledger.change)(id.clone(), shown, what.clone(), change);
        let stored = match changed.await {
            Ok(stored) => stored,
            Err(trouble) => return self.warn(trouble.to_string()),
        };
        if !stored.twice && !self.told_single.get_value() {
            self.told_single.set_value(true);
            self.warn(
                tr("Your last step is stored, but only once: one of this phone's two stores has no room or is closed. Export your jobs, then free some room on the phone."),
            );
        }
        let before = stored.before;
        if stored.after.is_none() {
            self.deleted.update(|deleted| {
                deleted.extend(before.clone().map(|job| Deleted {
                    job,
                    at: phone::now(),
                }));
            });
        } else {
            self.deleted
                .update(|deleted| deleted.retain(|d| d.job.id != id));
        }
        self.show(&id, stored.after);
        if let Some(place) = then {
            self.go(&place);
        }
        if !undoable {
            return;
        }
        self.withdraw_offers(&id);
        let number = self.next_number();
        self.undo.update(|undo| {
            undo.push(Undo {
                number,
                job: id.clone(),
                what: what.clone(),
                before: before.clone(),
            });
            if undo.len() > UNDO_DEPTH {
                undo.remove(0);
            }
        });
        match (tell, before) {
            (Tell::No, _) => {}
            (Tell::BringBack(inverse), Some(before)) => self.tell_with_way_back(what, move || {
                self.update(&id, tr("Undone"), move |job| inverse(&before, job));
            }),
            (Tell::TakeBack | Tell::BringBack(_), _) => self.toast(what, false, Some(number)),
        }
    }
}

/// What the list says before the jobs are read: on a phone that has never seen one, the sample is
/// about to be put there.
fn lines_at_start() -> Vec<Line> {
    match local::started() {
        true => local::lines(),
        false => vec![Line::of_sample()],
    }
}

fn on_job(change: impl FnOnce(&mut Job) + 'static) -> Change {
    Box::new(move |job| {
        job.map(|mut job| {
            change(&mut job);
            job
        })
    })
}
