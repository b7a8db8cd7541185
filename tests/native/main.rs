//! The core and the program `desk` as others use them. All tests are one program, so that they run
//! side by side over all files and one that fails hides no other.

mod bundle;
mod cast;
mod clock;
mod contrast;
mod day_speed;
#[path = "../days/mod.rs"]
mod days;
mod desk;
mod desk_photo;
mod desk_rule;
mod fitness;
mod heights_speed;
mod learned;
mod old_records;
mod pace;
mod plan;
mod quantity;
mod run;
mod strange_records;
mod survey;
mod traces;
#[path = "../desk/verbs.rs"]
mod verbs;
