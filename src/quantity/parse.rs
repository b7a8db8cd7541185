//! Quantities as people type them.
