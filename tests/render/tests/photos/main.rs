//! What is found in drawn photos, whose truth is known.

mod coverage;
mod drawn;
mod joined;
mod lens;
mod outline;
mod plaster;
mod ring;
mod section;
mod snap_corner;
mod snap_ticks;
mod sweep;
mod sweep_speed;
mod trace;
