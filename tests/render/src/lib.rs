//! Draws photos of walls with ornament whose true size is known.
