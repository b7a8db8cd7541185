//! Room not furnished yet.
