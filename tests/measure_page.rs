//! The arithmetic of the Measure page (fingers, view, rings, undo) knows no browser, but lives
//! beside the page, which does. This file builds it natively, so that its unit tests run there.

use peelcast::{job, quantity, say, survey, words};

#[path = "../src/app/screens/measure/hand.rs"]
mod hand;
#[path = "../src/app/screens/measure/history.rs"]
mod history;
#[path = "../src/app/screens/measure/kind.rs"]
mod kind;
#[path = "../src/app/screens/measure/marks.rs"]
mod marks;
#[path = "../src/app/screens/measure/ring.rs"]
mod ring;
#[path = "../src/app/screens/measure/view.rs"]
mod view;
