//! The jobs as they lie in the phone.
//!
//! Each change of a job is first written to the journal in the database, flushed to disk, and
//! only then shown. The journal holds the last versions of every job, and deletions. Beside it
//! local storage holds the newest version of each job and the one before. Where they differ at
//! start-up, the newest sound copy is put in the place of the others. Where a browser keeps no
//! database, local storage alone must do.

use super::database::{self, JOURNAL, Trouble, Work};
use super::{local, now};
use crate::job::storage::{Unreadable, Version, recover_read};
use crate::job::{BIN_DAYS, Job, JobId};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, TimeDelta, Utc};
use serde::Serialize;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

/// With up to so many jobs each lies in local storage too; with more those that were changed last.
const KEPT_TWICE: usize = 100;
/// How many versions of a job the journal keeps.
const VERSIONS_KEPT: usize = 12;

/// What was found at start-up.
pub struct Opened {
    /// The jobs.
    pub jobs: Vec<Job>,
    /// The deleted jobs that can still be brought back.
    pub deleted: Vec<Deleted>,
    /// The jobs of which no copy can be read.
    pub unread: Vec<Unread>,
    /// What was repaired, and what this browser does not give: sentences for the user.
    pub said: Vec<String>,
}

/// A deleted job that can still be brought back.
#[derive(Clone, Debug, PartialEq)]
pub struct Deleted {
    /// The job as it was.
    pub job: Job,
    /// When it was deleted.
    pub at: DateTime<Utc>,
}

/// A job of which no copy can be read here, as it is stored.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unread {
    /// Its name in the stores.
    pub id: JobId,
    /// The stored texts.
    pub copies: Vec<String>,
}

/// A change that is safely stored.
pub struct Stored {
    /// The job before.
    pub before: Option<Job>,
    /// The job now.
    pub after: Option<Job>,
    /// False where only the journal or only local storage took it.
    pub twice: bool,
}

thread_local! {
    /// Whether the newest version of every job lies in the journal.
    static JOURNALLED: Cell<bool> = const { Cell::new(false) };
}

/// A stored text and what it holds.
type Copy = (String, Result<Version, Unreadable>);

/// Reads all jobs and mends what differs between the stored copies.
pub async fn open() -> Opened {
    let mut local = local::copies();
    let mut said = Vec::new();
    let (mut journal, here) = match read_journal().await {
        Ok(journal) => (journal, true),
        Err(why) => {
            said.push(say!(
                "Your jobs are kept in this browser's small store only, and photos cannot be \
                 kept: {why}",
                why
            ));
            (BTreeMap::new(), false)
        }
    };
    let mut opened = Opened {
        jobs: Vec::new(),
        deleted: Vec::new(),
        unread: Vec::new(),
        said,
    };
    let mut journalled = here;
    let ids: BTreeSet<JobId> = local.keys().chain(journal.keys()).cloned().collect();
    // A phone with more has no room for all of them twice.
    let few = ids.len() <= KEPT_TWICE;
    for id in ids {
        let journal = journal.remove(&id).unwrap_or_default();
        let local = local.remove(&id).unwrap_or_default();
        let same = |(text, read): &Copy| {
            let job = read.as_ref().is_ok_and(|version| version.job.is_some());
            let kept = local.newest.as_ref();
            job && kept.map_or(!few, |kept| kept == text)
        };
        // Nearly always the same newest version lies in both.
        if journal.first().is_some_and(same) {
            let newest = journal.into_iter().next().map(|(_, read)| read);
            opened.jobs.extend(newest.and_then(|read| read.ok()?.job));
            continue;
        }
        let in_journal = journal.iter().filter_map(|(_, read)| read.as_ref().ok());
        let in_journal = in_journal.map(|version| version.rev).max();
        let texts = [local.newest, local.before].into_iter().flatten();
        let read = texts.map(|text| {
            let read = Version::decode(&text);
            (text, read)
        });
        let (texts, copies): (Vec<_>, Vec<_>) = read.chain(journal).unzip();
        let recovered = recover_read(copies.iter().cloned());
        let found = recovered.version.as_ref();
        let name = match found.map(|version| &version.job) {
            Some(Some(job)) => job.name.clone(),
            Some(None) => tr("A deleted job").to_owned(),
            None => say!("One job ({id})", id),
        };
        opened.said.extend(recovered.sentence(&name));
        let Some(version) = recovered.version else {
            opened.unread.push(Unread { id, copies: texts });
            continue;
        };
        if here && in_journal.is_none_or(|rev| rev < version.rev) {
            // Only local storage took this version; give it its place in the journal.
            if let Err(why) = append(&id, &version).await {
                journalled = false;
                opened.said.push(why.to_string());
            }
        }
        local::keep(&id, &version);
        let mut job = version.job;
        if recovered.damaged > 0 && job.is_some() {
            // A sound version on top of the damaged ones, so that this is said only once.
            let mended = change(&id, job.clone(), tr("Mended from a sound copy"), |job| job).await;
            job = mended.map_or(job, |stored| stored.after);
        }
        match job {
            Some(job) => opened.jobs.push(job),
            None => opened
                .deleted
                .extend(last_before_deletion(copies, version.at)),
        }
    }
    JOURNALLED.set(journalled);
    opened.jobs.sort_by_key(|job| job.created);
    empty_bin(&mut opened.deleted).await;
    opened
}

/// The stored copies of all jobs: the newest version of each first, and older ones where it is
/// damaged or a deletion.
async fn read_journal() -> Result<BTreeMap<JobId, Vec<Copy>>, Trouble> {
    let work = database::read(JOURNAL).await?;
    let mut journal: BTreeMap<JobId, Vec<Copy>> = BTreeMap::new();
    for key in work.keys("").await?.iter().rev() {
        let Some((id, _)) = key.split_once('/') else {
            continue;
        };
        let copies = journal.entry(JobId::new(id)).or_default();
        let job = |(_, read): &Copy| read.as_ref().is_ok_and(|version| version.job.is_some());
        if copies.last().is_some_and(job) {
            continue;
        }
        let text = work.get(key).await?.as_string().unwrap_or_default();
        let read = Version::decode(&text);
        copies.push((text, read));
    }
    work.finish().await?;
    Ok(journal)
}

fn last_before_deletion(
    copies: Vec<Result<Version, Unreadable>>,
    at: DateTime<Utc>,
) -> Option<Deleted> {
    let versions = copies.into_iter().filter_map(Result::ok);
    let last = versions.filter(|v| v.job.is_some()).max_by_key(|v| v.rev)?;
    Some(Deleted { job: last.job?, at })
}

/// Forgets the jobs that were deleted long ago.
async fn empty_bin(deleted: &mut Vec<Deleted>) {
    let limit = now() - TimeDelta::days(BIN_DAYS);
    let (old, kept) = deleted.drain(..).partition(|entry| entry.at < limit);
    *deleted = kept;
    for Deleted { job, .. } in old {
        // What cannot be forgotten today is forgotten at the next start.
        let _ = forget(&job.id).await;
    }
}

/// Forgets every stored version of a deleted job.
pub async fn forget(id: &JobId) -> Result<(), Trouble> {
    local::forget(id);
    let work = database::write(JOURNAL).await?;
    for key in work.keys(&format!("{id}/")).await? {
        work.delete(&key).await?;
    }
    work.finish().await
}

/// Changes a job and stores it; returns when that is safe. `shown` is the job as this tab knows
/// it; where another tab has stored a newer version, the change is made on that one. `change`
/// gets `None` where there is no such job and returns `None` to delete it.
pub async fn change(
    id: &JobId,
    shown: Option<Job>,
    what: &str,
    change: impl FnOnce(Option<Job>) -> Option<Job>,
) -> Result<Stored, Trouble> {
    let begun = async {
        let work = database::write(JOURNAL).await?;
        let keys = work.keys(&format!("{id}/")).await?;
        Ok::<_, Trouble>((work, keys))
    };
    let (work, keys) = match begun.await {
        Ok(begun) => begun,
        Err(trouble) => return change_local(id, shown, what, change, trouble),
    };
    let shown_rev = shown.as_ref().map_or(0, |job| job.rev);
    let stored_rev = keys.last().map_or(0, |key| revision(key));
    let mut before = shown;
    if stored_rev > shown_rev {
        let newest = keys.last().map_or("", String::as_str);
        let text = work.get(newest).await?.as_string().unwrap_or_default();
        if let Ok(version) = Version::decode(&text) {
            before = version.job;
        }
    }
    let version = next_version(before.clone(), stored_rev.max(shown_rev), what, change);
    let journalled = journal(work, id, &keys, &version).await;
    let mut kept = local::keep(id, &version);
    if !kept && journalled.is_ok() && JOURNALLED.get() {
        kept = local::keep_before_others(id, &version);
    }
    let twice = journalled.is_ok() && kept;
    if !kept {
        journalled?;
    }
    tell_other_tabs(id);
    Ok(Stored {
        twice,
        after: version.job,
        before,
    })
}

/// Writes a version behind those that `keys` name, and forgets the oldest.
async fn journal(
    work: Work,
    id: &JobId,
    keys: &[String],
    version: &Version,
) -> Result<(), Trouble> {
    let text = encode(version)?;
    work.put(&key(id, version.rev), &text.into()).await?;
    let spare = (keys.len() + 1).saturating_sub(VERSIONS_KEPT);
    for old in &keys[..spare] {
        work.delete(old).await?;
    }
    work.finish().await
}

/// The way out where the database does not open: local storage alone.
fn change_local(
    id: &JobId,
    shown: Option<Job>,
    what: &str,
    change: impl FnOnce(Option<Job>) -> Option<Job>,
    trouble: Trouble,
) -> Result<Stored, Trouble> {
    let stored = local::newest(id);
    let stored_rev = stored.as_ref().map_or(0, |v| v.rev);
    let shown_rev = shown.as_ref().map_or(0, |job| job.rev);
    let before = match stored {
        Some(version) if stored_rev > shown_rev => version.job,
        _ => shown,
    };
    let version = next_version(before.clone(), stored_rev.max(shown_rev), what, change);
    if !local::keep(id, &version) {
        return Err(trouble);
    }
    tell_other_tabs(id);
    Ok(Stored {
        before,
        after: version.job,
        twice: false,
    })
}

fn next_version(
    before: Option<Job>,
    last_rev: u64,
    what: &str,
    change: impl FnOnce(Option<Job>) -> Option<Job>,
) -> Version {
    let at = now();
    let mut version = Version {
        rev: last_rev + 1,
        at,
        what: what.to_owned(),
        job: change(before),
    };
    if let Some(job) = &mut version.job {
        if job.rev > last_rev {
            // It comes from a file and keeps its own count and time, so that the same job on two
            // phones can still be compared.
            version.rev = job.rev;
        } else {
            job.rev = version.rev;
            job.changed = at;
        }
    }
    version
}

async fn append(id: &JobId, version: &Version) -> Result<(), Trouble> {
    let work = database::write(JOURNAL).await?;
    journal(work, id, &[], version).await
}

fn encode(version: &Version) -> Result<String, Trouble> {
    version
        .encode()
        .map_err(|why| Trouble::Failed(why.to_string()))
}

fn key(id: &JobId, rev: u64) -> String {
    format!("{id}/{rev:016}")
}

fn revision(key: &str) -> u64 {
    let digits = key.rsplit('/').next().unwrap_or_default();
    digits.parse().unwrap_or(0)
}

/// The job as it is stored now, for when another tab has changed it.
pub async fn newest(id: &JobId) -> Option<Job> {
    let texts = async {
        let work = database::read(JOURNAL).await?;
        let keys = work.keys(&format!("{id}/")).await?;
        let newest = keys.last().map_or("", String::as_str);
        work.get(newest).await
    };
    match texts.await {
        Ok(text) => Version::decode(&text.as_string()?).ok()?.job,
        Err(_) => local::newest(id)?.job,
    }
}

/// Whether the journal still names a photo in any kept version of any job.
pub async fn journal_names(photo: &str) -> Result<bool, Trouble> {
    let work = database::read(JOURNAL).await?;
    for key in work.keys("").await? {
        let text = work.get(&key).await?.as_string();
        if text.is_some_and(|text| text.contains(photo)) {
            return Ok(true);
        }
    }
    Ok(false)
}

const TABS: &str = "peelcast.jobs";

thread_local! {
    static CHANNEL: Option<web_sys::BroadcastChannel> =
        web_sys::BroadcastChannel::new(TABS).ok();
}

fn tell_other_tabs(id: &JobId) {
    CHANNEL.with(|channel| {
        if let Some(channel) = channel {
            // A tab that misses this meets the newer version at its next change.
            let _ = channel.post_message(&id.as_str().into());
        }
    });
}

/// Calls `changed` with each job that another tab stores.
pub fn on_other_tab(changed: impl Fn(JobId) + 'static) {
    CHANNEL.with(|channel| {
        if let Some(channel) = channel {
            super::window::listen_on(channel, "message", move |event| {
                let event: web_sys::MessageEvent = event.into();
                if let Some(id) = event.data().as_string() {
                    changed(JobId::new(&id));
                }
            });
        }
    });
}
