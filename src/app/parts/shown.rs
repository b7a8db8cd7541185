//! Lists of views of one common type: the code that shows a list is then in the program once, and
//! not once for each kind of element.

use leptos::prelude::*;

/// What every iterator of views can do.
pub trait Shown: Iterator {
    /// All of them, one after the other.
    fn shown(self) -> Vec<AnyView>;
}

impl<I> Shown for I
where
    I: Iterator,
    I::Item: IntoAny,
{
    fn shown(self) -> Vec<AnyView> {
        self.map(IntoAny::into_any).collect()
    }
}
