//! One piece of one job, as a page holds it: read it, follow it, change it.

use crate::app::parts::field::length_keyboard;
use crate::app::route::{Page, Route};
use crate::app::state::{Desk, use_desk};
use crate::clock::LogNote;
use crate::coating::{Plan, PlanInput, plan};
use crate::job::{Job, JobId, LogPicture, Piece, PieceId};
use crate::phone;
use crate::quantity::show::System;
use crate::words::tr;
use chrono::{DateTime, NaiveDate, Utc};
use leptos::prelude::*;

/// Something that follows from the piece, or what is missing for it; `None` once the piece is gone.
pub type Planned<T> = Memo<Option<Result<T, String>>>;

/// The plan that is made from what was put in, or what is missing for it.
pub fn plan_of(input: &Result<PlanInput, String>) -> Result<Plan, String> {
    let input = input.as_ref().map_err(String::clone)?;
    plan(input).map_err(|why| why.to_string())
}

/// The piece a page works on. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Bench {
    /// What all screens share.
    pub desk: Desk,
    /// The piece as it is stored, or as a finger on a slider would have it; `None` once it has been
    /// taken away.
    pub piece: Memo<Option<Piece>>,
    draft: RwSignal<Option<Piece>>,
    names: StoredValue<(JobId, PieceId)>,
}

impl Bench {
    /// Takes a piece to work on.
    pub fn new(job: JobId, piece: PieceId) -> Self {
        let desk = use_desk();
        let stored = desk.piece(&job, &piece);
        let draft = RwSignal::new(None::<Piece>);
        Self {
            desk,
            piece: Memo::new(move |_| draft.get().or_else(|| stored.get())),
            draft,
            names: StoredValue::new((job, piece)),
        }
    }

    /// The keyboard for lengths: inches come with fractions, which a number pad has no sign for.
    pub fn length_keyboard(self) -> Signal<String> {
        length_keyboard(self.desk)
    }

    /// The units that the reader wants.
    pub fn system(self) -> System {
        self.desk.settings.get().system
    }

    /// Something of the piece, followed as it changes; the default once the piece is gone.
    pub fn read<T: Default>(self, of: impl FnOnce(&Piece) -> T) -> T {
        self.piece
            .with(|piece| piece.as_ref().map(of))
            .unwrap_or_default()
    }

    /// What the piece's plan is made from, and the plan. They change only when that does: not with a
    /// tick in the bag or a tap at the wall.
    pub fn planned(self) -> (Planned<PlanInput>, Planned<Plan>) {
        let piece = self.piece;
        let input = Memo::new(move |_| piece.with(|p| p.as_ref().map(Piece::plan_input)));
        let plan = Memo::new(move |_| input.with(|input| input.as_ref().map(plan_of)));
        (input, plan)
    }

    /// Shows what would follow from a change, without storing it; until the next change is stored.
    pub fn look(self, change: impl FnOnce(&mut Piece)) {
        let mut piece = self.piece.get_untracked();
        piece.as_mut().map(change);
        self.draft.set(piece);
    }

    /// Changes the piece and stores it; `what` names the change in the past tense.
    pub fn change(self, what: &str, change: impl FnOnce(&mut Piece) + 'static) {
        self.names
            .with_value(|(job, piece)| self.desk.update_piece(job, piece, what, change));
        self.draft.set(None);
    }

    /// The same, and says so at the head of the screen, with a button that takes it back.
    pub fn change_and_tell(self, what: &str, change: impl FnOnce(&mut Piece) + 'static) {
        let (job, id) = self.names.get_value();
        self.draft.set(None);
        self.desk.update_and_tell(&job, what, move |job| {
            if let Some(piece) = job.pieces.iter_mut().find(|piece| piece.id == id) {
                change(piece);
            }
        });
    }

    /// Changes some pieces of one job in one step, each with the word that stands beside it; `tell`:
    /// says so at the head of the screen, with a button that takes it back.
    pub fn change_each(
        all: Vec<(Self, String)>,
        what: &str,
        tell: bool,
        change: impl Fn(&mut Piece, String) + 'static,
    ) {
        let Some((first, _)) = all.first() else {
            return;
        };
        let (desk, (job, _)) = (first.desk, first.names.get_value());
        let all = all.into_iter();
        let all: Vec<_> = all
            .map(|(bench, word)| {
                bench.draft.set(None);
                (bench.names.get_value().1, word)
            })
            .collect();
        let change = move |job: &mut Job| {
            for (id, word) in all {
                if let Some(piece) = job.pieces.iter_mut().find(|piece| piece.id == id) {
                    change(piece, word);
                }
            }
        };
        match tell {
            true => desk.update_and_tell(&job, what, change),
            false => desk.update(&job, what, change),
        }
    }

    /// The day, followed as it changes.
    pub fn today(self) -> Memo<NaiveDate> {
        Memo::new(move |_| {
            self.desk.now.track();
            phone::today()
        })
    }

    /// Writes something down beside what was tapped; `everywhere`: on all pieces of the job. Its way
    /// back takes the note alone: what was tapped since stays.
    pub fn note(self, note: LogNote, everywhere: bool) {
        let (desk, (job, here)) = (self.desk, self.names.get_value());
        let kept = note.clone();
        desk.update(&job, tr("Written down"), move |job| {
            let pieces = job.pieces.iter_mut();
            pieces
                .filter(|piece| everywhere || piece.id == here)
                .for_each(|piece| piece.notes.push(note.clone()));
        });
        desk.tell_with_way_back(tr("Written down"), move || {
            desk.update(&job, tr("Note taken back"), move |job| {
                let pieces = job.pieces.iter_mut();
                pieces.for_each(|piece| piece.notes.retain(|note| *note != kept));
            });
        });
    }

    /// Puts a photo into the log, with the same way back.
    pub fn picture(self, picture: LogPicture) {
        let (desk, (job, id)) = (self.desk, self.names.get_value());
        let kept = picture.clone();
        self.change(tr("Photo put into the log"), move |piece| {
            piece.pictures.push(picture);
        });
        desk.tell_with_way_back(tr("Photo put into the log"), move || {
            desk.update_piece(&job, &id, tr("Photo taken out of the log"), move |piece| {
                piece.pictures.retain(|picture| *picture != kept);
            });
        });
    }

    /// The job that the piece is of.
    pub fn job(self) -> JobId {
        self.names.with_value(|(job, _)| job.clone())
    }

    /// How many pieces its job has.
    pub fn pieces_of_job(self) -> usize {
        self.desk.jobs.with(|jobs| {
            self.names.with_value(|(id, _)| {
                let job = jobs.iter().find(|job| job.id == *id);
                job.map_or(0, |job| job.pieces.len())
            })
        })
    }

    /// The time of day for its job.
    pub fn time(self) -> DateTime<Utc> {
        self.names.with_value(|(job, _)| self.desk.time_of(job))
    }

    /// The address of one of the piece's pages.
    pub fn address(self, page: Page) -> String {
        let (job, piece) = self.names.get_value();
        Route::Piece(job, piece, page).to_string()
    }

    /// The address of how high it stands, place by place.
    pub fn heights(self) -> String {
        let (job, piece) = self.names.get_value();
        Route::Heights(job, piece).to_string()
    }

    /// The address of what the piece is.
    pub fn details(self) -> String {
        let (job, piece) = self.names.get_value();
        Route::Details(job, piece).to_string()
    }
}
