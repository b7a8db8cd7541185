//! Lists of views of one common type: the code that shows a list is then in the program once, and
//! not once for each kind of element.

use leptos::prelude::*;
use std::hash::Hash;

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

/// A list whose lines stay in the page as long as their keys stay in the list.
pub fn keyed<K>(
    keys: impl Fn() -> Vec<K> + Send + Sync + 'static,
    one: impl Fn(K) -> AnyView + Send + Sync + 'static,
) -> AnyView
where
    K: Clone + Eq + Hash + Send + Sync + 'static,
{
    // Boxed, so that all lists with keys of one type share their code.
    let keys: Box<dyn Fn() -> Vec<K> + Send + Sync> = Box::new(keys);
    let one = std::sync::Arc::new(one);
    let one: std::sync::Arc<dyn Fn(K) -> AnyView + Send + Sync> = one;
    view! { <For each=move || keys() key=K::clone children=move |key| one(key) /> }.into_any()
}
