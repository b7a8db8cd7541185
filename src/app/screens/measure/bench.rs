//! What the parts of the page share: the marks as they are on the screen, their undo, and what
//! they amount to.

use super::history::History;
use super::marks::{Marks, Spot, Task};
use super::photos::For;
use super::ring;
use super::tools::Tools;
use super::view::{Place, View};
use crate::app::state::{Desk, use_desk};
use crate::job::{Job, JobId, PhotoRef, Piece, PieceId, Shot, Shows};
use crate::survey::{Footprint, Section, Wall};
use crate::words::tr;
use leptos::prelude::*;
use std::collections::VecDeque;

/// What the marks amount to at this moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Findings {
    /// The wall, or what the reference still lacks.
    pub wall: Result<Wall, String>,
    /// How far a mark is taken to lie from its true place: its spread in photo pixels.
    pub marking_sd_px: f64,
    /// The footprint, or what is wrong with the outline; `None` before it has three points.
    pub footprint: Option<Result<Footprint, String>>,
    /// The section, where the photo shows one and its line is done.
    pub section: Option<Result<Section, String>>,
}

/// The state of the page. Cheap to copy.
///
/// The marks on the screen run ahead of the stored ones: a drag changes them at once and stores
/// them when the finger is lifted.
#[derive(Clone, Copy)]
pub struct Bench {
    /// The desk of the app.
    pub desk: Desk,
    /// The piece as it is stored.
    pub piece: Memo<Option<Piece>>,
    /// Which of the piece's photos is on the bench.
    pub at: RwSignal<usize>,
    /// The photo that is measured.
    pub photo: Memo<Option<PhotoRef>>,
    /// The marks as they are on the screen.
    pub marks: RwSignal<Marks>,
    /// Whether the photo shows a section.
    pub section: Memo<bool>,
    /// The tools that look into the photo.
    pub tools: Tools,
    /// What is being done.
    pub task: RwSignal<Task>,
    /// The mark that arrows move and the loupe shows.
    pub chosen: RwSignal<Option<Spot>>,
    /// Where the photo lies on the stage.
    pub view: RwSignal<View>,
    /// Where the finger is that drags the chosen mark, on the stage.
    pub finger: RwSignal<Option<Place>>,
    /// Whether the way to another photo is open.
    pub other_photo: RwSignal<bool>,
    /// What the marks amount to; `None` without a photo.
    pub findings: Memo<Option<Findings>>,
    /// Whether there is a step back.
    pub can_undo: Memo<bool>,
    /// Whether there is a step forward.
    pub can_redo: Memo<bool>,
    /// The photo on the bench and its marks, as they are stored.
    shot: Memo<Option<Shot>>,
    history: RwSignal<History<Marks>>,
    names: StoredValue<(JobId, PieceId)>,
    /// Marks that were handed to the store and have not come back as the stored ones yet.
    sent: StoredValue<VecDeque<Marks>>,
    /// The marks before the movement that is under way.
    before: StoredValue<Option<Marks>>,
}

impl Bench {
    /// Sets up the page of one piece.
    pub fn new(job: JobId, piece: PieceId) -> Self {
        let desk = use_desk();
        let stored = desk.piece(&job, &piece);
        let at = RwSignal::new(0);
        let shot = Memo::new(move |_| stored.with(|p| Some(p.as_ref()?.shot(at.get()).clone())));
        let marks = Marks::stored(&shot.get_untracked().unwrap_or_default());
        let task = RwSignal::new(first_task(&marks));
        let marks = RwSignal::new(marks);
        let history = RwSignal::new(History::default());
        let bench = Self {
            desk,
            piece: stored,
            at,
            shot,
            photo: Memo::new(move |_| shot.with(|s| s.as_ref()?.photo.clone())),
            marks,
            section: Memo::new(move |_| marks.with(Marks::is_section)),
            tools: Tools::default(),
            task,
            chosen: RwSignal::new(None),
            view: RwSignal::new(View::whole([1.0, 1.0], [0.0, 0.0])),
            finger: RwSignal::new(None),
            other_photo: RwSignal::new(false),
            findings: findings(stored, at, shot, marks),
            can_undo: Memo::new(move |_| history.with(History::can_undo)),
            can_redo: Memo::new(move |_| history.with(History::can_redo)),
            history,
            names: StoredValue::new((job, piece)),
            sent: StoredValue::new(VecDeque::new()),
            before: StoredValue::new(None),
        };
        bench.follow_the_store();
        bench
    }

    /// Takes over marks that changed elsewhere: an undo at the head of the screen, an import.
    fn follow_the_store(self) {
        // A photo that comes in beside others goes onto the bench.
        Effect::new(move |before: Option<usize>| {
            let count = self.piece.with(|p| p.as_ref().map_or(0, |p| p.shots.len()));
            if before.is_some_and(|before| before < count) {
                self.at.set(count - 1);
            }
            count
        });
        Effect::new(move |photo_before: Option<Option<PhotoRef>>| {
            let photo = self.photo.get();
            let Some(stored) = self.shot.get() else {
                return photo;
            };
            let other_photo = photo_before.is_some_and(|before| before != photo);
            if other_photo {
                self.other_photo.set(false);
                self.sent.update_value(VecDeque::clear);
                self.history.set(History::default());
                self.load(&stored);
                return photo;
            }
            let ours = self
                .sent
                .with_value(|sent| sent.iter().position(|marks| marks.same_as(&stored)));
            if let Some(index) = ours {
                self.sent.update_value(|sent| drop(sent.drain(..=index)));
            } else if !self.marks.with_untracked(|marks| marks.same_as(&stored)) {
                self.keep();
                self.load(&stored);
            }
            photo
        });
    }

    fn load(self, stored: &Shot) {
        let marks = Marks::stored(stored);
        self.chosen.set(None);
        self.before.set_value(None);
        if marks.is_section() {
            self.tools.opens();
        }
        let task = first_task(&marks);
        self.marks.set(marks);
        self.task.set(task);
    }

    fn keep(self) {
        let present = self.marks.get_untracked();
        self.history.update(|history| history.keep(present));
    }

    /// Changes the marks in one step that undo takes back, and stores them.
    pub fn change(self, what: &str, change: impl FnOnce(&mut Marks)) {
        // What a tool said could be put back is no longer the last step.
        self.tools.hush();
        let before = self.marks.get_untracked();
        self.marks.update(change);
        if self.marks.with_untracked(|after| *after != before) {
            self.history.update(|history| history.keep(before));
            self.store(what);
        }
    }

    /// Begins a movement of the chosen mark, unless one is under way.
    pub fn begin(self, spot: Spot) {
        self.chosen.set(Some(spot));
        self.begin_new();
    }

    /// Begins a movement of a mark that is about to be set, unless one is under way.
    pub fn begin_new(self) {
        self.tools.hush();
        if self.before.with_value(Option::is_none) {
            self.before.set_value(Some(self.marks.get_untracked()));
        }
    }

    /// Moves the mark that was begun with, without storing it yet.
    pub fn shift(self, spot: Spot, to: Place) {
        let to = self.view.get_untracked().on_picture(to);
        self.marks.update(|marks| marks.shift(spot, to));
    }

    /// Ends the movement and stores where it led.
    pub fn finish(self) {
        self.finger.set(None);
        let mut before = None;
        self.before.update_value(|kept| before = kept.take());
        let Some(before) = before else { return };
        if self.marks.with_untracked(|after| *after != before) {
            self.history.update(|history| history.keep(before));
            self.store(tr("Mark moved"));
        }
    }

    /// Takes the movement back.
    pub fn give_up(self) {
        self.finger.set(None);
        let mut before = None;
        self.before.update_value(|kept| before = kept.take());
        if let Some(before) = before {
            self.chosen.set(None);
            self.marks.set(before);
        }
    }

    /// Takes the last change back, as if it had never been: the first tap of a double tap.
    pub fn never_mind(self) {
        let last = self.history.try_update(History::forget).flatten();
        if let Some(before) = last {
            self.chosen.set(None);
            self.marks.set(before);
            self.store(tr("Mark taken back"));
        }
    }

    /// One step back.
    pub fn undo(self) {
        self.step(tr("Mark undone"), History::undo);
    }

    /// One step forward.
    pub fn redo(self) {
        self.step(tr("Mark made again"), History::redo);
    }

    fn step(self, what: &str, step: fn(&mut History<Marks>, Marks) -> Option<Marks>) {
        self.finish();
        // What a tool could put back is no longer the last step.
        self.tools.hush();
        let present = self.marks.get_untracked();
        let other = self.history.try_update(|history| step(history, present));
        if let Some(other) = other.flatten() {
            self.chosen.set(None);
            self.marks.set(other);
            self.store(what);
        }
    }

    fn store(self, what: &str) {
        let marks = self.marks.get_untracked();
        self.sent.update_value(|sent| sent.push_back(marks.clone()));
        let at = self.at.get_untracked();
        self.names.with_value(|(job, piece)| {
            self.desk.update_piece(job, piece, what, move |piece| {
                marks.keep(piece.shot_mut(at));
            });
        });
    }

    /// Gives the piece a photo: its first, one more, or another in the place of the one on the
    /// bench. Marks of that one would lie wrong on the new one, so they go; the message at the
    /// head of the screen brings both back.
    pub fn take_photo(self, photo: PhotoRef, what: For) {
        let bare = self.marks.with_untracked(Marks::is_bare);
        let (job, piece) = self.names();
        let shots = self
            .piece
            .with_untracked(|p| p.as_ref().map_or(0, |p| p.shots.len()));
        let at = match what {
            For::More | For::Section => shots,
            For::Place => self.at.get_untracked(),
        };
        let (of, new) = (piece.clone(), photo.id.clone());
        let change = move |job: &mut Job| {
            if let Some(piece) = job.pieces.iter_mut().find(|p| p.id == piece) {
                let shot = piece.shot_mut(at);
                let shows = match what {
                    For::Section => Shows::Section,
                    For::More => Shows::Piece,
                    For::Place => shot.shows,
                };
                let mut marks = Marks {
                    shows,
                    ..Marks::default()
                };
                marks.become_kind(Marks::stored(shot).kind());
                marks.keep(shot);
                shot.photo = Some(photo);
            }
        };
        if at == shots {
            // A piece's first photo is no news, and its removal is offered where others are.
            return self.desk.update(&job, tr("Photo added"), change);
        }
        let what = match bare {
            true => tr("Photo replaced"),
            false => tr("Photo replaced, its old marks cleared"),
        };
        let old = move |before: &Job, job: &mut Job| {
            bring_back(&of, before, job, |before, piece| {
                piece.bring_back_replaced(before, at, &new);
            });
        };
        self.desk.update_and_tell_with(&job, what, change, old);
    }

    /// Takes one of the photos away, with its marks.
    pub fn remove_photo(self, index: usize) {
        let (job, piece) = self.names();
        self.at.set(0);
        let of = piece.clone();
        let change = move |job: &mut Job| {
            if let Some(piece) = job.pieces.iter_mut().find(|p| p.id == piece) {
                piece.remove_shot(index);
            }
        };
        let old = move |before: &Job, job: &mut Job| {
            bring_back(&of, before, job, |before, piece| {
                piece.bring_back_removed(before, index);
            });
        };
        let what = tr("Photo removed");
        self.desk.update_and_tell_with(&job, what, change, old);
    }

    /// The names of the job and the piece.
    pub fn names(self) -> (JobId, PieceId) {
        self.names.get_value()
    }

    /// Where the marks of the task are on the stage.
    pub fn spots_on_stage(self) -> Vec<(Spot, Place)> {
        let (task, view) = (self.task.get_untracked(), self.view.get_untracked());
        self.marks.with_untracked(|marks| {
            let spots = marks.spots(task).into_iter();
            spots
                .filter_map(|spot| Some((spot, view.to_stage(marks.place(spot)?))))
                .collect()
        })
    }

    /// The mark of the task nearest to a place on the stage, within `reach`.
    pub fn spot_near(self, at: Place, reach: f64) -> Option<Spot> {
        let spots = self.spots_on_stage();
        let places: Vec<Place> = spots.iter().map(|s| s.1).collect();
        ring::nearest_point(&places, at, reach).map(|i| spots[i].0)
    }

    /// Takes a mark away.
    pub fn remove(self, spot: Spot) {
        self.chosen.set(None);
        self.change(tr("Mark removed"), |marks| marks.remove(spot));
    }

    /// Moves a mark by whole photo pixels, without storing it yet.
    pub fn nudge(self, spot: Spot, by: Place) {
        let Some(at) = self.marks.with_untracked(|marks| marks.place(spot)) else {
            return;
        };
        self.begin(spot);
        self.shift(spot, [at[0] + by[0], at[1] + by[1]]);
        let view = self.view.get_untracked();
        self.view.set(view.showing(at, 60.0));
    }
}

/// What is to be done first with these marks.
fn first_task(marks: &Marks) -> Task {
    let kind = marks.kind();
    let enough = marks.reference_places().len() >= 4 && kind.has_corners()
        || marks.outline().len() >= 3 && !kind.has_corners();
    if enough {
        Task::Outline
    } else {
        Task::Reference
    }
}

/// Follows what the marks amount to. The wall is found anew only when the reference changes, so
/// that a dragged point of the outline costs the least.
fn findings(
    piece: Memo<Option<Piece>>,
    at: RwSignal<usize>,
    shot: Memo<Option<Shot>>,
    marks: RwSignal<Marks>,
) -> Memo<Option<Findings>> {
    let angle = Memo::new(move |_| piece.with(|p| p.as_ref().map(Piece::wall_angle)));
    let before = Memo::new(move |_| {
        let at = at.get();
        piece.with(|p| {
            let piece = p.as_ref()?;
            piece.wall(piece.before(at)?).ok()
        })
    });
    let photo = Memo::new(move |_| shot.with(|s| s.as_ref()?.photo.clone()));
    // All but the outline, which the wall does not need.
    let before_tracing = Memo::new(move |_| {
        let photo = Some(photo.get()?);
        Some(marks.with(|m| Shot {
            photo,
            shows: m.shows,
            reference: m.reference.clone(),
            found: m.found.clone(),
            readings: m.readings.clone(),
            reference_height: m.reference_height,
            outline_height: m.outline_height,
            ..Shot::default()
        }))
    });
    let wall = Memo::new(move |_| {
        let shot = before_tracing.get()?;
        let angle = angle.get()?;
        let wall = before.with(|before| shot.wall(angle, before.as_ref()));
        Some((wall, shot))
    });
    Memo::new(move |_| {
        let (wall, mut shot) = wall.get()?;
        let (mut footprint, mut section) = (None, None);
        if let Ok(wall) = &wall {
            marks.with(|m| {
                shot.outline = m.outline().to_vec();
                shot.holes = m.holes();
                if m.is_section() {
                    // Until its last point is set the line's ends are not known.
                    section = m.open.is_none().then(|| shot.section_on(wall));
                } else if shot.outline.len() >= 3 {
                    footprint = Some(shot.footprint_on(wall));
                }
            });
        }
        Some(Findings {
            wall,
            marking_sd_px: shot.marking_sd_px(),
            footprint,
            section,
        })
    })
}

/// Changes a piece with what it was before at hand, if it is still there.
fn bring_back(of: &PieceId, before: &Job, job: &mut Job, back: impl FnOnce(&Piece, &mut Piece)) {
    let before = before.pieces.iter().find(|p| p.id == *of);
    let now = job.pieces.iter_mut().find(|p| p.id == *of);
    if let (Some(before), Some(now)) = (before, now) {
        back(before, now);
    }
}
