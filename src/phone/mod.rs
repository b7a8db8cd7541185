//! The only room that knows the browser.
