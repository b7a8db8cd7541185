//! One stored version of a job, as a text that shows when it is damaged.
//!
//! A phone holds each job several times: its last versions in a journal, the newest one once more
//! beside it, and the one before that. [`recover`] says which of them to go on with.

use super::read::shape;
use super::{Job, ReadError};
use crate::quantity::{iso, show};
use crate::say;
use crate::words::tr;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fmt;

/// One version of a job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Version {
    /// Counts the changes, deletions included.
    pub rev: u64,
    /// When this version was made.
    #[serde(with = "iso::moment")]
    pub at: DateTime<Utc>,
    /// The change that made it, in the past tense.
    pub what: String,
    /// The job; `None` when it was deleted.
    pub job: Option<Job>,
}

/// Why a stored text can't be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unreadable {
    /// It is not what was once written.
    Damaged,
    /// A newer version of this program wrote it. It is sound and has to stay as it is.
    Newer,
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Damaged => tr("This stored copy is damaged."),
            Self::Newer => tr("This copy was stored by a newer version of Peelcast."),
        })
    }
}

/// A change that must not be stored, since it could not be read again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unstorable(String);

impl fmt::Display for Unstorable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&say!(
            "This change can't be stored, because it could not be read again ({value}). The job is \
             safe as it was.",
            value = self.0
        ))
    }
}

impl Version {
    /// The text to store: a checksum of 16 hexadecimal digits, a space, and JSON. It is read back
    /// before it is given out: a number that is none would make the whole job unreadable.
    pub fn encode(&self) -> Result<String, Unstorable> {
        // By way of a value, as all writing of records: one way less is kilobytes less to download.
        let json = serde_json::to_value(self)
            .map_err(|why| Unstorable(why.to_string()))?
            .to_string();
        if let Some(why) = self
            .job
            .is_some()
            .then(|| Parts::read(&json).err())
            .flatten()
        {
            return Err(Unstorable(why.to_string()));
        }
        Ok(format!("{:016x} {json}", checksum(&json)))
    }

    /// Reads a stored text of any version of the record's shape.
    pub fn decode(text: &str) -> Result<Self, Unreadable> {
        let (sum, json) = text.split_once(' ').ok_or(Unreadable::Damaged)?;
        if u64::from_str_radix(sum, 16) != Ok(checksum(json)) {
            return Err(Unreadable::Damaged);
        }
        Parts::read(json).map_err(|why| match why {
            ReadError::Newer(_) => Unreadable::Newer,
            _ => Unreadable::Damaged,
        })
    }
}

/// A version before its job is brought to today's shape.
#[derive(Deserialize)]
struct Parts {
    rev: u64,
    #[serde(with = "iso::moment")]
    at: DateTime<Utc>,
    what: String,
}

impl Parts {
    fn read(json: &str) -> Result<Version, ReadError> {
        let mut value: Value = serde_json::from_str(json).map_err(shape)?;
        let job = value.get_mut("job").map(Value::take);
        let job = job.filter(|job| !job.is_null()).map(Job::from_value);
        let parts = Self::deserialize(&value).map_err(shape)?;
        Ok(Version {
            rev: parts.rev,
            at: parts.at,
            what: parts.what,
            job: job.transpose()?,
        })
    }
}

/// FNV-1a, 64 bits: sees torn and rotten texts; not meant against a forger.
fn checksum(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |sum, byte| {
        (sum ^ u64::from(byte)).wrapping_mul(0x100_0000_01b3)
    })
}

/// What to go on with after looking at all copies of one job.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovered {
    /// The newest sound version; `None` when no copy can be read, and when a newer version of
    /// this program wrote one of them, since going on with an older copy would undo its work.
    pub version: Option<Version>,
    /// How many copies were damaged.
    pub damaged: usize,
    /// Whether a newer version of this program wrote one of them.
    pub newer: bool,
}

impl Recovered {
    /// What the user has to know of this, if anything; `name` is the job's, if there is one.
    pub fn sentence(&self, name: &str) -> Option<String> {
        match &self.version {
            _ if self.newer => Some(say!(
                "{name} was last changed by a newer version of Peelcast, and this version can't \
                 read it. It is left as it is. Open Peelcast while you are online and take the \
                 new version. The Backup page saves it to a file as it is.",
                name
            )),
            None => Some(say!(
                "{name}: its stored copies are damaged and can't be read. They are left as \
                 they are; all other jobs are fine. If you exported this job, import the file. \
                 The Backup page saves the damaged copies to a file.",
                name
            )),
            Some(version) if self.damaged > 0 => Some(say!(
                "{name}: a stored copy was damaged, so the last sound version was taken (from \
                 {at}, “{what}”). Look through it before you go on.",
                name,
                at = show::moment_utc(version.at),
                what = version.what
            )),
            Some(_) => None,
        }
    }
}

/// Chooses the newest sound version among all stored copies of one job.
pub fn recover<'a>(copies: impl IntoIterator<Item = &'a str>) -> Recovered {
    recover_read(copies.into_iter().map(Version::decode))
}

/// The same of copies that have been read.
pub fn recover_read(copies: impl IntoIterator<Item = Result<Version, Unreadable>>) -> Recovered {
    let mut recovered = Recovered {
        version: None,
        damaged: 0,
        newer: false,
    };
    for copy in copies {
        match copy {
            Ok(version) => {
                let newest = recovered.version.as_ref().map(|v| v.rev);
                if newest.is_none_or(|rev| rev < version.rev) {
                    recovered.version = Some(version);
                }
            }
            Err(Unreadable::Damaged) => recovered.damaged += 1,
            Err(Unreadable::Newer) => recovered.newer = true,
        }
    }
    if recovered.newer {
        recovered.version = None;
    }
    recovered
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{JobId, Piece, SCHEMA, Shot};

    fn version(rev: u64) -> Version {
        Version {
            rev,
            at: DateTime::UNIX_EPOCH,
            what: "Name changed".into(),
            job: Some(Job {
                id: JobId::new("a"),
                rev,
                name: format!("Rosette, door {rev}"),
                ..Job::default()
            }),
        }
    }

    #[test]
    fn a_version_comes_back_as_it_was_stored() {
        let stored = version(7);
        assert_eq!(Version::decode(&stored.encode().unwrap()), Ok(stored));
    }

    #[test]
    fn one_changed_or_missing_character_is_seen() {
        let text = version(7).encode().unwrap();
        let cut = &text[..text.len() - 1];
        let changed = text.replace("door 7", "door 8");
        assert_eq!(Version::decode(cut), Err(Unreadable::Damaged));
        assert_eq!(Version::decode(&changed), Err(Unreadable::Damaged));
        assert_eq!(Version::decode(""), Err(Unreadable::Damaged));
    }

    #[test]
    fn the_newest_sound_copy_wins_and_damage_is_counted() {
        let texts = [version(2), version(3), version(1)].map(|v| v.encode().unwrap());
        let rotten = version(9).encode().unwrap().replace("door", "d00r");
        let copies = texts.iter().chain([&rotten]).map(String::as_str);
        let recovered = recover(copies);
        assert_eq!(recovered.version, Some(version(3)));
        assert_eq!(recovered.damaged, 1);
    }

    #[test]
    fn what_a_newer_version_wrote_is_left_alone() {
        let json = serde_json::to_string(&version(5)).unwrap();
        let ours = format!("\"schema\":{SCHEMA}");
        let json = json.replace(&ours, &format!("\"schema\":{}", SCHEMA + 1));
        let newer = format!("{:016x} {json}", checksum(&json));
        assert_eq!(Version::decode(&newer), Err(Unreadable::Newer));
        let older = version(3).encode().unwrap();
        let recovered = recover([older.as_str(), newer.as_str()]);
        assert_eq!(recovered.version, None);
        assert!(
            recovered
                .sentence("Frieze")
                .unwrap()
                .contains("newer version")
        );
    }

    #[test]
    fn a_number_that_is_none_never_reaches_the_store() {
        let mut bad = version(2);
        if let Some(job) = &mut bad.job {
            job.pieces = vec![Piece {
                shots: vec![Shot {
                    outline: vec![[f64::NAN, 0.0]],
                    ..Shot::default()
                }],
                ..Piece::default()
            }];
        }
        assert!(
            bad.encode()
                .unwrap_err()
                .to_string()
                .contains("safe as it was")
        );
    }

    #[test]
    fn what_was_mended_is_said() {
        let sound = version(2).encode().unwrap();
        assert_eq!(recover([sound.as_str()]).sentence("Frieze"), None);
        let mended = recover([sound.as_str(), "torn"])
            .sentence("Frieze")
            .unwrap();
        assert!(mended.contains("last sound version") && mended.contains("Name changed"));
        let lost = recover(["torn"]).sentence("one job").unwrap();
        assert!(lost.contains("all other jobs are fine"));
    }

    #[test]
    fn a_deletion_is_a_version_too() {
        let deleted = Version {
            job: None,
            ..version(4)
        };
        let texts = [version(3), deleted.clone()].map(|v| v.encode().unwrap());
        let recovered = recover(texts.iter().map(String::as_str));
        assert_eq!(recovered.version, Some(deleted));
    }
}
