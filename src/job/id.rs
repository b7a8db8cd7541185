//! Names that the program gives: one type per thing named.

use serde::{Deserialize, Serialize};
use std::fmt;

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(from = "String", into = "String")]
        pub struct $name(String);

        impl $name {
            /// Makes a name safe for addresses and file names: letters, digits, `-` and `_` stay.
            pub fn new(text: &str) -> Self {
                let plain = |c: &char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
                Self(text.chars().filter(plain).collect())
            }
            /// The name as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }
        impl From<String> for $name {
            fn from(text: String) -> Self {
                Self::new(&text)
            }
        }
        impl From<$name> for String {
            fn from(id: $name) -> Self {
                id.0
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

id!(
    /// Names a job.
    JobId
);
id!(
    /// Names a piece within its job.
    PieceId
);
id!(
    /// Names a stored photo.
    PhotoId
);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_from_a_strange_file_cannot_leave_its_place_in_an_address() {
        let id: JobId = serde_json::from_str(r#""../a b/ü""#).unwrap();
        assert_eq!(id.as_str(), "ab");
    }
}
