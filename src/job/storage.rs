//! One stored version of a job, as a text that shows when it is damaged.
//!
//! A phone holds each job several times: its last versions in a journal, the newest one once more
//! beside it, and the one before that. [`recover`] says which of them to go on with.

use super::Job;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::fmt;

/// One version of a job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Version {
    /// Counts the changes, deletions included.
    pub rev: u64,
    /// When this version was made.
    pub at: DateTime<Utc>,
    /// The change that made it, in the past tense.
    pub what: String,
    /// The job; `None` when it was deleted.
    pub job: Option<Job>,
}

/// A stored text that is not what was once written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Damaged;

impl fmt::Display for Damaged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("This stored copy is damaged.")
    }
}

impl Version {
    /// The text to store: a checksum of 16 hexadecimal digits, a space, and JSON.
    pub fn encode(&self) -> Result<String, serde_json::Error> {
        let json = serde_json::to_string(self)?;
        Ok(format!("{:016x} {json}", checksum(&json)))
    }

    /// Reads a stored text.
    pub fn decode(text: &str) -> Result<Self, Damaged> {
        let (sum, json) = text.split_once(' ').ok_or(Damaged)?;
        if u64::from_str_radix(sum, 16) != Ok(checksum(json)) {
            return Err(Damaged);
        }
        serde_json::from_str(json).map_err(|_| Damaged)
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
    /// The newest sound version; `None` when every copy is damaged.
    pub version: Option<Version>,
    /// How many copies were damaged.
    pub damaged: usize,
}

/// Chooses the newest sound version among all stored copies of one job.
pub fn recover<'a>(copies: impl IntoIterator<Item = &'a str>) -> Recovered {
    let mut recovered = Recovered {
        version: None,
        damaged: 0,
    };
    for copy in copies {
        match Version::decode(copy) {
            Ok(version) => {
                let newest = recovered.version.as_ref().map(|v| v.rev);
                if newest.is_none_or(|rev| rev < version.rev) {
                    recovered.version = Some(version);
                }
            }
            Err(Damaged) => recovered.damaged += 1,
        }
    }
    recovered
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::JobId;

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
        assert_eq!(Version::decode(cut), Err(Damaged));
        assert_eq!(Version::decode(&changed), Err(Damaged));
        assert_eq!(Version::decode(""), Err(Damaged));
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
