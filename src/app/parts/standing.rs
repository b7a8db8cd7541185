//! How far a job or a piece has come, in words.

use crate::app::parts::shown::Shown;
use crate::app::state::Desk;
use crate::clock::Step;
use crate::job::{Job, JobId, Piece, Stage};
use crate::words::tr;
use leptos::prelude::*;

/// A job's name, or what stands in for it.
pub fn job_name(job: &Job) -> String {
    job.title().to_owned()
}

/// A piece's name, or what stands in for it.
pub fn piece_name(piece: &Piece) -> String {
    piece.title().to_owned()
}

/// How far a job has come; follows the time where a coat runs.
pub fn of_job(desk: Desk, job: &Job) -> AnyView {
    match job.pieces.as_slice() {
        [piece] => of_piece(desk, &job.id, piece, piece.stage()),
        pieces => {
            let lines = pieces.iter().map(|piece| {
                view! {
                    <span>{piece_name(piece)} ": " {of_piece(desk, &job.id, piece, piece.stage())}</span>
                }
            });
            view! { <span class="lines">{lines.shown()}</span> }.into_any()
        }
    }
}

/// How far a piece has come that is at this stage; follows the time where a coat runs.
pub fn of_piece(desk: Desk, job: &JobId, piece: &Piece, stage: Stage) -> AnyView {
    match stage {
        Stage::Coat if !piece.coat_log.is_empty() => {
            let piece = piece.clone();
            // The plan stands while the time runs.
            let plan = piece.plan();
            let tempo = desk.tempo(job, &piece);
            let now = move || desk.now.get();
            (move || match &plan {
                Ok(plan) => match piece.progress_of(plan, &tempo, now()).step {
                    Step::Finished => tr("Peeled").into(),
                    step => step.name(),
                },
                Err(why) => why.clone(),
            })
            .into_any()
        }
        _ => piece.standing(stage).into_any(),
    }
}
