//! What several screens use.

pub mod bench;
pub mod blank;
pub mod caution;
pub mod choice;
pub mod drawings;
pub mod explain;
pub mod field;
pub mod find;
pub mod form;
pub mod masses;
pub mod missing;
pub mod outline;
pub mod photo_ways;
pub mod portion;
pub mod purpose;
pub mod range;
pub mod section;
pub mod shown;
pub mod slider;
pub mod standing;
pub mod timeline;
pub mod toast;
pub mod tornado;
pub mod units;
pub mod unread;
pub mod viewfinder;
