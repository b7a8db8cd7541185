//! Tools that look into the photo, so that a thumb need not be exact: marks go to the corners and
//! ticks they mean, an edge is followed from tap to tap, points settle on the edge beside them, and a
//! ring drawn round the ornament becomes its outline.
//!
//! What was found is stored and drawn like any mark, and can be put back with one tap.

use super::bench::Bench;
use super::marks::Task;
use super::view::{Place, distance};
use crate::darkroom::{Answer, Ask};
use crate::job::Reading;
use crate::phone::darkroom::{self, Unanswered};
use crate::quantity::Millimetres;
use crate::say;
use crate::survey::{Reference, RuleMark, Side, Stroke};
use crate::words::tr;
use leptos::prelude::*;
use std::collections::VecDeque;

/// How the outline is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Point by point.
    Points,
    /// Along the edge from tap to tap.
    Edge,
    /// With a ring drawn loosely round the ornament, and strokes that better what it found.
    Ring,
}

/// What a finger draws in a ring.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pen {
    /// The ring itself.
    Ring,
    /// "This too".
    Add,
    /// "Not this".
    Take,
}

/// What a tool has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    pub text: String,
    /// Whether its last step can be put back.
    pub put_back: bool,
}

/// The state of the tools. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Tools {
    /// How the outline is set.
    pub way: RwSignal<Way>,
    /// What a finger draws.
    pub pen: RwSignal<Pen>,
    /// Taps to which the edge is still to be followed, in photo pixels.
    ahead: RwSignal<VecDeque<Place>>,
    /// What the finger has drawn so far, in photo pixels.
    pub drawn: RwSignal<Vec<Place>>,
    /// The share that is done of what is being looked for.
    pub busy: RwSignal<Option<f64>>,
    /// What was found, or not.
    pub said: RwSignal<Option<Said>>,
}

impl Default for Tools {
    fn default() -> Self {
        Self {
            way: RwSignal::new(Way::Points),
            pen: RwSignal::new(Pen::Ring),
            ahead: RwSignal::new(VecDeque::new()),
            drawn: RwSignal::new(Vec::new()),
            busy: RwSignal::new(None),
            said: RwSignal::new(None),
        }
    }
}

/// A reading lies this near to the edge of its rule, as a share of the picture's longer side:
/// further across lies its other edge.
const ACROSS: f64 = 0.02;
/// A point that was set with the loupe lies this near to its edge, in CSS pixels: further off the
/// next line of a moulding may be meant.
const BESIDE: f64 = 3.0;
/// Half the width of a stroke on the screen, in CSS pixels.
const STROKE: f64 = 9.0;

impl Tools {
    /// Whether a finger draws now.
    pub fn draws(self, task: Task) -> bool {
        task == Task::Outline && self.way.get() == Way::Ring
    }

    /// The line that is tapped has ends now: no ring finds it.
    pub fn opens(self) {
        if self.way.get_untracked() == Way::Ring {
            self.way.set(Way::Points);
        }
    }

    /// Says nothing more.
    pub fn hush(self) {
        self.said.set(None);
    }

    /// The edge was followed to the first of the taps that wait.
    fn passed(self) {
        self.ahead.update(|ahead| {
            ahead.pop_front();
        });
    }

    fn say(self, text: impl Into<String>, put_back: bool) {
        let text = text.into();
        self.said.set(Some(Said { text, put_back }));
    }
}

/// Asks the darkroom; what it answers is handed on if the page still shows the same photo.
fn ask(bench: Bench, question: Ask, then: impl FnOnce(Answer) + 'static) {
    ask_or(bench, question, move |answer| match answer {
        Ok(answer) => then(answer),
        Err(why) => bench.tools.say(why, false),
    });
}

/// The same, where what is wrong is handed on too.
fn ask_or(bench: Bench, ask: Ask, then: impl FnOnce(Result<Answer, String>) + 'static) {
    let tools = bench.tools;
    let Some(photo) = bench.photo.get_untracked() else {
        return;
    };
    tools.hush();
    tools.busy.set(Some(0.0));
    leptos::task::spawn_local(async move {
        let progress = move |share| {
            tools.busy.try_set(Some(share));
        };
        let answer = darkroom::ask(&photo, &ask, progress).await;
        tools.busy.try_set(None);
        let here = bench.photo.try_get_untracked().flatten();
        if here.is_none_or(|here| here.id != photo.id) {
            return;
        }
        match answer {
            Ok(answer) => then(Ok(answer)),
            Err(Unanswered::Because(why)) => then(Err(why)),
            Err(Unanswered::Cancelled) => tools.ahead.update(VecDeque::clear),
        }
    });
}

/// Looks for the corners that were tapped, once all four are.
pub fn corners(bench: Bench) {
    let near = bench.marks.with_untracked(|m| match &m.reference {
        Some(Reference::Rectangle { corners, .. }) if corners.len() == 4 => m.rectangle(),
        _ => None,
    });
    let Some(near) = near else { return };
    let shortest = (0..4)
        .map(|i| distance(near[i], near[(i + 1) % 4]))
        .fold(f64::INFINITY, f64::min);
    let question = Ask::Corners {
        near: near.clone(),
        // So far the edges of a card are surely straight and alone.
        reach_px: shortest / 4.0,
    };
    ask(bench, question, move |answer| {
        let Answer::Corners(found) = answer else {
            return;
        };
        let count = found.iter().flatten().count();
        bench.change(tr("Corners found"), |m| {
            for (tapped, corner) in near.iter().zip(found) {
                if let Some(corner) = corner {
                    m.settle(*tapped, corner.px, corner.sd_px);
                }
            }
        });
        // Tape or a shadow beside an edge can be taken for it.
        let contradict = bench.findings.with_untracked(|f| {
            let wall = f.as_ref().and_then(|f| f.wall.as_ref().ok());
            wall.is_some_and(|wall| !wall.notes().is_empty())
        });
        if count > 0 && contradict {
            bench.undo();
            let text = tr(
                "What was found near your marks contradicts itself: they stay as you set them. Zoom in and set each by hand.",
            );
            bench.tools.say(text, false);
            return;
        }
        let text = match count {
            0 => tr("No clear corner was found: zoom in and set each mark by hand.").to_owned(),
            4 => tr("All four corners were found in the picture.").to_owned(),
            _ => say!(
                "{count} of 4 corners were found: set the others by hand.",
                count
            ),
        };
        bench.tools.say(text, count > 0);
    });
}

/// Looks for the ticks between the two outermost readings on this edge of a tool.
pub fn ticks(bench: Bench, side: Side) {
    let ends = bench.marks.with_untracked(|m| {
        let Some(Reference::Marks { marks, .. }) = &m.reference else {
            return None;
        };
        let on = || marks.iter().filter(|mark| mark.side == side);
        let low = on().min_by(|a, b| a.at.0.total_cmp(&b.at.0))?;
        let high = on().max_by(|a, b| a.at.0.total_cmp(&b.at.0))?;
        (low.at.0 < high.at.0).then_some([(low.px, low.at.0), (high.px, high.at.0)])
    });
    let Some(readings) = ends else { return };
    let longer = bench
        .photo
        .get_untracked()
        .map_or(0.0, |photo| photo.size().longer());
    let reach_px = (BESIDE / bench.view.get_untracked().scale).min(ACROSS * longer);
    ask(bench, Ask::Ticks { readings, reach_px }, move |answer| {
        let Answer::Ticks(found) = answer else {
            return;
        };
        let count = found.ticks.len();
        bench.change(tr("Ticks found"), |m| {
            m.readings.retain(|reading| reading.mark.side != side);
            m.readings.extend(found.ticks.iter().map(|tick| Reading {
                mark: RuleMark {
                    px: tick.px,
                    at: Millimetres(tick.at_mm),
                    side,
                },
                sd_px: tick.sd_px,
            }));
        });
        let text = say!(
            "{count} ticks were found between the readings; all of them count now.",
            count
        );
        bench.tools.say(text, true);
    });
}

/// Follows the edge from the last point of the outline to a tap. Taps that come while an edge is
/// being followed wait for their turn; one on the first point closes the ring.
pub fn follow(bench: Bench, to: Place) {
    let waiting = bench.tools.ahead.try_update(|ahead| {
        ahead.push_back(to);
        ahead.len()
    });
    if waiting == Some(1) {
        follow_next(bench);
    }
}

fn follow_next(bench: Bench) {
    let tools = bench.tools;
    let Some(to) = tools.ahead.with_untracked(|ahead| ahead.front().copied()) else {
        return;
    };
    let ring = bench
        .marks
        .with_untracked(|m| m.open.and_then(|i| m.rings.get(i).cloned()));
    let ends = ring.as_ref().and_then(|r| Some((*r.first()?, *r.last()?)));
    let Some((first, from)) = ends else {
        // Nothing leads to the first point.
        bench.change(tr("Mark set"), |m| {
            m.add(Task::Outline, to);
        });
        tools.passed();
        return;
    };
    let closes = to == first;
    let done = move |mut path: Vec<Place>| {
        if closes {
            path.pop();
        }
        bench.change(tr("Edge followed"), |m| {
            for point in path {
                m.add(Task::Outline, point);
            }
            if closes {
                m.close();
            }
        });
        tools.passed();
        follow_next(bench);
    };
    ask_or(bench, Ask::Trace { from, to }, move |answer| match answer {
        Ok(Answer::Path(path)) => done(path),
        // Without an edge the tap itself is the next point.
        Err(why) => {
            done(vec![to]);
            tools.say(why, false);
        }
        Ok(_) => {}
    });
}

/// Puts every point of the outline and its holes onto the edge beside it.
pub fn settle(bench: Bench) {
    let reach_px = BESIDE / bench.view.get_untracked().scale;
    settle_ring(bench, 0, reach_px, [0, 0]);
}

/// Settles the rings from this one on; `so_far` counts points that were settled, and all.
fn settle_ring(bench: Bench, ring: usize, reach_px: f64, so_far: [usize; 2]) {
    let points = bench.marks.with_untracked(|m| m.rings.get(ring).cloned());
    let Some(points) = points else {
        let [settled, all] = so_far;
        let text = match settled {
            0 => tr("No clear edge lies beside the points: they stay as you set them.").to_owned(),
            n if n == all => tr("All points lie on the edge now.").to_owned(),
            n => {
                say!(
                    "{n} of {all} points lie on the edge now; the others stay as you set them.",
                    n,
                    all
                )
            }
        };
        bench.tools.say(text, settled > 0);
        return;
    };
    let question = Ask::Settle {
        ring: points.clone(),
        closed: !bench.section.get_untracked(),
        reach_px,
    };
    ask(bench, question, move |answer| {
        let Answer::Settled(found) = answer else {
            return;
        };
        let settled = found.iter().flatten().count();
        bench.change(tr("Points settled"), |m| {
            for (at, found) in points.iter().zip(found) {
                if let Some(found) = found {
                    m.settle(*at, found.px, found.sd_px);
                }
            }
        });
        let so_far = [so_far[0] + settled, so_far[1] + points.len()];
        settle_ring(bench, ring + 1, reach_px, so_far);
    });
}

/// The finger that draws has come to a place on the stage.
pub fn draw(bench: Bench, at: Place) {
    let view = bench.view.get_untracked();
    let px = view.on_picture(view.to_photo(at));
    bench.tools.hush();
    bench.tools.drawn.update(|drawn| drawn.push(px));
}

/// What was drawn is done: a ring, or a stroke in it.
pub fn drawn(bench: Bench) {
    let tools = bench.tools;
    let path = tools.drawn.try_update(std::mem::take).unwrap_or_default();
    let question = match tools.pen.get_untracked() {
        Pen::Ring => Ask::Ring { ring_px: path },
        pen => Ask::Stroke(Stroke {
            ornament: pen == Pen::Add,
            path,
            radius_px: STROKE / bench.view.get_untracked().scale,
        }),
    };
    ask(bench, question, move |answer| {
        let Answer::Outline(found) = answer else {
            return;
        };
        bench.change(tr("Outline found"), |m| {
            // What was marked beside it is not found again.
            let beside = (1..m.rings.len()).filter(|ring| m.is_neighbour(*ring));
            let beside: Vec<_> = beside.map(|ring| m.rings[ring].clone()).collect();
            let found = std::iter::once(found.outline).chain(found.holes);
            m.rings = found.chain(beside).collect();
            m.open = None;
        });
        if tools.pen.get_untracked() == Pen::Ring {
            tools.pen.set(Pen::Add);
        }
    });
}
