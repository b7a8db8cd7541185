//! What is marked on the photo while the page is open, and how taps change it.

use super::kind::{Kind, side_of};
use super::ring;
use super::view::Place;
use crate::job::{Found, Reading, Shot, Shows};
use crate::quantity::Millimetres;
use crate::say;
use crate::survey::{Reference, RuleMark, Side, Tie, holes_and_neighbours};
use crate::words::tr;

/// The three tasks of the page, in the order of the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// Mark the thing of known size.
    Reference,
    /// Trace the ornament.
    Outline,
    /// See whether the picture, laid flat, looks true.
    Check,
}

/// One mark that can be taken hold of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Spot {
    /// A corner or a reading of the reference, by its place in the list.
    Reference(usize),
    /// A point of a ring.
    Point {
        /// 0 is the outline, from 1 on the holes.
        ring: usize,
        /// The point's place in the ring.
        index: usize,
    },
    /// A mark on a square or rule whose reading is not typed yet.
    Pending,
}

/// All marks of one photo.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marks {
    /// What the photo shows.
    pub shows: Shows,
    /// The thing of known size.
    pub reference: Option<Reference>,
    /// Marks that were found in the picture rather than set by hand.
    pub found: Vec<Found>,
    /// Readings of the reference that were found in the picture.
    pub readings: Vec<Reading>,
    /// How far it lies before the wall.
    pub reference_height: Millimetres,
    /// How far the edge that is traced stands before the wall.
    pub outline_height: Millimetres,
    /// Distances that are measured, from one place to another, in photo pixels.
    pub distances: Vec<[Place; 2]>,
    /// The outline first, then the holes, in photo pixels.
    pub rings: Vec<Vec<Place>>,
    /// The ring that is being traced: taps add to its end.
    pub open: Option<usize>,
    /// A mark on a square or rule whose reading is still to be typed. It is not stored.
    pub pending: Option<Place>,
}

impl Marks {
    /// The marks as they were stored. A ring of fewer than three points is still being traced.
    pub fn stored(shot: &Shot) -> Self {
        let rings: Vec<_> = std::iter::once(&shot.outline)
            .chain(&shot.holes)
            .cloned()
            .collect();
        let open = rings.iter().position(|ring| ring.len() < 3);
        Self {
            shows: shot.shows,
            reference: shot.reference.clone(),
            found: shot.found.clone(),
            readings: shot.readings.clone(),
            reference_height: shot.reference_height,
            outline_height: shot.outline_height,
            distances: shot.distances.clone(),
            rings,
            open,
            pending: None,
        }
    }

    /// Puts the marks into the record; the photo there stays.
    pub fn keep(&self, shot: &mut Shot) {
        *shot = Shot {
            photo: shot.photo.take(),
            shows: self.shows,
            reference: self.reference.clone(),
            found: self.found_marks().collect(),
            readings: self.readings.clone(),
            reference_height: self.reference_height,
            outline: self.outline().to_vec(),
            holes: self.holes(),
            outline_height: self.outline_height,
            distances: self.distances.clone(),
        };
    }

    /// Whether the photo shows a section, whose edge is tapped as one open line.
    pub fn is_section(&self) -> bool {
        self.shows == Shows::Section
    }

    /// The outline, in photo pixels.
    pub fn outline(&self) -> &[Place] {
        self.rings.first().map_or(&[], Vec::as_slice)
    }

    /// Whether a ring lies beside the outline: no hole, but what the border has to spare.
    pub fn is_neighbour(&self, ring: usize) -> bool {
        let ring = self.rings.get(ring).filter(|_| ring > 0);
        ring.is_some_and(|ring| {
            let (_, beside) = holes_and_neighbours(self.outline(), std::slice::from_ref(ring));
            !beside.is_empty()
        })
    }

    /// The holes and neighbours that enclose something, in photo pixels: one or two points do not
    /// yet.
    pub fn holes(&self) -> Vec<Vec<Place>> {
        let holes = self.rings.iter().skip(1);
        holes.filter(|hole| hole.len() >= 3).cloned().collect()
    }

    /// Whether the record holds these marks already.
    pub fn same_as(&self, stored: &Shot) -> bool {
        let mut kept = stored.clone();
        self.keep(&mut kept);
        kept == *stored
    }

    /// The marks that still lie where they were found.
    fn found_marks(&self) -> impl Iterator<Item = Found> {
        let places = self.reference_places();
        let lies =
            move |px: Place| places.contains(&px) || self.rings.iter().flatten().any(|p| *p == px);
        let found = self.found.iter().copied();
        found.filter(move |found| lies(found.px))
    }

    /// What of the reference was found in the picture.
    pub fn found_places(&self) -> Vec<Place> {
        let places = self.reference_places();
        let marks = self.found.iter().map(|found| found.px);
        let readings = self.readings.iter().map(|reading| reading.mark.px);
        marks
            .filter(|px| places.contains(px))
            .chain(readings)
            .collect()
    }

    /// Whether nothing is marked.
    pub fn is_bare(&self) -> bool {
        self.spots(Task::Reference).is_empty() && self.spots(Task::Outline).is_empty()
    }

    /// What the reference is; a bank card until something else is chosen.
    pub fn kind(&self) -> Kind {
        self.reference.as_ref().map_or(Kind::Card, Kind::of)
    }

    /// Makes the reference something else. Corners stay corners and readings stay readings, as
    /// far as both kinds have them.
    pub fn become_kind(&mut self, kind: Kind) {
        let mut next = kind.bare();
        self.pending = None;
        self.readings.clear();
        match (&mut next, self.reference.take()) {
            (
                Reference::Rectangle { corners, .. },
                Some(Reference::Rectangle { corners: old, .. }),
            ) => *corners = old,
            (Reference::Marks { marks, .. }, Some(Reference::Marks { marks: old, .. })) => {
                *marks = old;
                for mark in marks {
                    mark.side = side_of(kind, mark.side);
                }
            }
            _ => {}
        }
        self.reference = Some(next);
    }

    /// Where the marks of the reference are.
    pub fn reference_places(&self) -> Vec<Place> {
        match &self.reference {
            Some(Reference::Rectangle { corners, .. }) => corners.clone(),
            Some(Reference::Marks { marks, .. }) => marks.iter().map(|m| m.px).collect(),
            Some(Reference::Ties { ties }) => ties.iter().map(|tie| tie.here).collect(),
            None => Vec::new(),
        }
    }

    /// All marks that a task works on.
    pub fn spots(&self, task: Task) -> Vec<Spot> {
        match task {
            Task::Reference => (0..self.reference_places().len())
                .map(Spot::Reference)
                .chain(self.pending.map(|_| Spot::Pending))
                .collect(),
            Task::Outline => self
                .rings
                .iter()
                .enumerate()
                .flat_map(|(ring, points)| {
                    (0..points.len()).map(move |index| Spot::Point { ring, index })
                })
                .collect(),
            Task::Check => Vec::new(),
        }
    }

    /// Where a mark is.
    pub fn place(&self, spot: Spot) -> Option<Place> {
        match spot {
            Spot::Reference(index) => match self.reference.as_ref()? {
                Reference::Rectangle { corners, .. } => corners.get(index).copied(),
                Reference::Marks { marks, .. } => marks.get(index).map(|m| m.px),
                Reference::Ties { ties } => ties.get(index).map(|tie| tie.here),
            },
            Spot::Point { ring, index } => self.rings.get(ring)?.get(index).copied(),
            Spot::Pending => self.pending,
        }
    }

    /// Moves a mark.
    pub fn shift(&mut self, spot: Spot, to: Place) {
        let place = match spot {
            Spot::Reference(index) => match &mut self.reference {
                Some(Reference::Rectangle { corners, .. }) => corners.get_mut(index),
                Some(Reference::Marks { marks, .. }) => marks.get_mut(index).map(|m| &mut m.px),
                Some(Reference::Ties { ties }) => ties.get_mut(index).map(|tie| &mut tie.here),
                None => None,
            },
            Spot::Point { ring, index } => self
                .rings
                .get_mut(ring)
                .and_then(|points| points.get_mut(index)),
            Spot::Pending => self.pending.as_mut(),
        };
        if let Some(place) = place {
            *place = to;
        }
    }

    /// Moves the marks at one place to another, where they were found in the picture.
    pub fn settle(&mut self, from: Place, px: Place, sd_px: f64) {
        let rings = self.rings.iter_mut().flatten();
        let of_reference: Box<dyn Iterator<Item = &mut Place>> = match &mut self.reference {
            Some(Reference::Rectangle { corners, .. }) => Box::new(corners.iter_mut()),
            Some(Reference::Marks { marks, .. }) => Box::new(marks.iter_mut().map(|m| &mut m.px)),
            Some(Reference::Ties { ties }) => Box::new(ties.iter_mut().map(|tie| &mut tie.here)),
            None => Box::new(std::iter::empty()),
        };
        for place in rings.chain(of_reference).filter(|place| **place == from) {
            *place = px;
        }
        self.found
            .retain(|found| found.px != from && found.px != px);
        self.found.push(Found { px, sd_px });
    }

    /// Takes a mark away. A hole without points is gone; an outline of fewer than three points
    /// is being traced again.
    pub fn remove(&mut self, spot: Spot) {
        if self.place(spot).is_none() {
            return;
        }
        match spot {
            Spot::Reference(index) => match &mut self.reference {
                Some(Reference::Rectangle { corners, .. }) => drop(corners.remove(index)),
                Some(Reference::Marks { marks, .. }) => drop(marks.remove(index)),
                Some(Reference::Ties { ties }) => drop(ties.remove(index)),
                None => {}
            },
            Spot::Point { ring, index } => {
                self.rings[ring].remove(index);
                if ring > 0 && self.rings[ring].is_empty() {
                    self.remove_hole(ring);
                } else if self.rings[ring].len() < 3 {
                    self.open = Some(ring);
                }
            }
            Spot::Pending => self.pending = None,
        }
    }

    /// Takes a hole away.
    pub fn remove_hole(&mut self, ring: usize) {
        if ring == 0 || ring >= self.rings.len() {
            return;
        }
        self.rings.remove(ring);
        self.open = self.rings.iter().position(|points| points.len() < 3);
    }

    /// Whether a tap on the bare photo sets a new mark.
    pub fn wants_more(&self, task: Task) -> bool {
        match task {
            Task::Reference => !self.kind().has_corners() || self.reference_places().len() < 4,
            Task::Outline => self.open.is_some() || self.outline().is_empty(),
            Task::Check => false,
        }
    }

    /// Sets the next corner, the mark whose reading comes next, or the next point of the ring
    /// that is being traced.
    pub fn add(&mut self, task: Task, at: Place) -> Option<Spot> {
        if !self.wants_more(task) {
            return None;
        }
        match task {
            Task::Reference => match self.reference.get_or_insert_with(|| Kind::Card.bare()) {
                Reference::Rectangle { corners, .. } => {
                    corners.push(at);
                    Some(Spot::Reference(corners.len() - 1))
                }
                Reference::Marks { .. } | Reference::Ties { .. } => {
                    self.pending = Some(at);
                    Some(Spot::Pending)
                }
            },
            Task::Outline => {
                let ring = *self.open.get_or_insert(0);
                while self.rings.len() <= ring {
                    self.rings.push(Vec::new());
                }
                self.rings[ring].push(at);
                let index = self.rings[ring].len() - 1;
                Some(Spot::Point { ring, index })
            }
            Task::Check => None,
        }
    }

    /// Gives the pending mark its reading and its edge.
    pub fn read(&mut self, at: Millimetres, side: Side) {
        if let (Some(Reference::Marks { marks, .. }), Some(px)) =
            (&mut self.reference, self.pending)
        {
            marks.push(RuleMark { px, at, side });
            self.pending = None;
        }
    }

    /// Says where the photo before shows the pending place.
    pub fn tie(&mut self, there: Place) {
        if let (Some(Reference::Ties { ties }), Some(here)) = (&mut self.reference, self.pending) {
            ties.push(Tie { here, there });
            self.pending = None;
        }
    }

    /// Puts a new point into an edge.
    pub fn insert(&mut self, ring: usize, index: usize, at: Place) -> Option<Spot> {
        let points = self.rings.get_mut(ring)?;
        points.insert(index.min(points.len()), at);
        Some(Spot::Point { ring, index })
    }

    /// Whether the ring that is being traced has enough points to be closed.
    pub fn can_close(&self) -> bool {
        self.open
            .and_then(|ring| self.rings.get(ring))
            .is_some_and(|points| points.len() >= 3)
    }

    /// Ends the tracing of the ring.
    pub fn close(&mut self) {
        if self.can_close() {
            self.open = None;
        }
    }

    /// Goes on at the end of a section's line.
    pub fn go_on(&mut self) {
        self.open = Some(0);
    }

    /// Begins a hole or a neighbour.
    pub fn open_hole(&mut self) {
        if self.open.is_none() && !self.outline().is_empty() {
            self.rings.push(Vec::new());
            self.open = Some(self.rings.len() - 1);
        }
    }

    /// The corners of a rectangle in the order in which their edges are drawn.
    pub fn rectangle(&self) -> Option<Vec<Place>> {
        match &self.reference {
            Some(Reference::Rectangle { corners, .. }) if corners.len() > 1 => {
                Some(ring::clockwise(corners.clone()))
            }
            _ => None,
        }
    }

    /// What a screen reader calls a mark.
    pub fn label(&self, spot: Spot) -> String {
        match spot {
            Spot::Reference(index) => {
                if self.kind().has_corners() {
                    say!("Corner {index} of 4", index = index + 1)
                } else if self.kind() == Kind::Shared {
                    say!("Shared place {index}", index = index + 1)
                } else {
                    say!("Reading {index}", index = index + 1)
                }
            }
            Spot::Point { ring: 0, index } => {
                let what = if self.is_section() {
                    tr("Section")
                } else {
                    tr("Outline")
                };
                say!(
                    "{what} point {index} of {outline}",
                    what,
                    index = index + 1,
                    outline = self.outline().len()
                )
            }
            Spot::Point { ring, index } => {
                let what = if self.is_neighbour(ring) {
                    tr("Neighbour")
                } else {
                    tr("Hole")
                };
                say!(
                    "{what} {ring}, point {index}",
                    what,
                    ring,
                    index = index + 1
                )
            }
            Spot::Pending => tr("New reading").to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn traced(points: &[Place]) -> Marks {
        let mut marks = Marks::stored(&Shot::default());
        for p in points {
            marks.add(Task::Outline, *p);
        }
        marks
    }

    const SQUARE: [Place; 4] = [[0.0, 0.0], [9.0, 0.0], [9.0, 9.0], [0.0, 9.0]];

    #[test]
    fn the_first_tap_begins_with_a_bank_card_and_the_fifth_does_nothing() {
        let mut marks = Marks::default();
        for p in SQUARE {
            assert!(marks.add(Task::Reference, p).is_some());
        }
        assert_eq!(marks.kind(), Kind::Card);
        assert_eq!(marks.add(Task::Reference, [5.0, 5.0]), None);
        assert_eq!(marks.reference_places(), SQUARE);
        assert_eq!(marks.label(Spot::Reference(1)), "Corner 2 of 4");
    }

    #[test]
    fn another_kind_of_rectangle_keeps_the_corners_and_a_tool_does_not() {
        let mut marks = Marks::default();
        for p in SQUARE {
            marks.add(Task::Reference, p);
        }
        for kind in [Kind::A4, Kind::Letter, Kind::Own, Kind::Card] {
            marks.become_kind(kind);
            assert_eq!(marks.kind(), kind);
            assert_eq!(marks.reference_places().len(), 4);
        }
        marks.become_kind(Kind::Rule);
        assert!(marks.reference_places().is_empty());
    }

    #[test]
    fn a_mark_on_a_rule_counts_once_its_reading_is_typed() {
        let mut marks = Marks::default();
        marks.become_kind(Kind::Rule);
        assert_eq!(marks.add(Task::Reference, [1.0, 2.0]), Some(Spot::Pending));
        marks.shift(Spot::Pending, [1.5, 2.0]);
        assert!(marks.reference_places().is_empty());
        let [(scale, _), _] = Kind::Rule.sides().unwrap();
        marks.read(Millimetres(100.0), scale);
        assert_eq!(marks.spots(Task::Reference), [Spot::Reference(0)]);
        assert_eq!(marks.place(Spot::Reference(0)), Some([1.5, 2.0]));
        // The numbered edge of a rule becomes the long arm of a square.
        marks.become_kind(Kind::Square);
        let Some(Reference::Marks { marks: kept, .. }) = &marks.reference else {
            panic!("no readings")
        };
        assert_eq!(
            (kept[0].at, kept[0].side),
            (Millimetres(100.0), Side::LongArm)
        );
        marks.add(Task::Reference, [7.0, 7.0]);
        marks.remove(Spot::Pending);
        assert_eq!(marks.pending, None);
    }

    #[test]
    fn an_outline_is_traced_closed_bettered_and_opened_again() {
        let mut marks = traced(&SQUARE[..2]);
        assert!(!marks.can_close());
        marks.close();
        assert_eq!(marks.open, Some(0));
        marks.add(Task::Outline, SQUARE[2]);
        marks.close();
        assert!(!marks.wants_more(Task::Outline));
        let spot = marks.insert(0, 3, [0.0, 8.0]).unwrap();
        marks.shift(spot, SQUARE[3]);
        assert_eq!(marks.outline(), SQUARE);
        assert_eq!(marks.label(spot), "Outline point 4 of 4");
        marks.remove(spot);
        assert_eq!(marks.open, None);
        marks.remove(Spot::Point { ring: 0, index: 0 });
        assert_eq!(marks.open, Some(0));
    }

    #[test]
    fn a_ring_beside_the_outline_is_a_neighbour() {
        let mut marks = traced(&SQUARE);
        marks.close();
        let beside = |[x, y]: Place| [x + 100.0, y];
        marks.rings.push(SQUARE.map(beside).to_vec());
        assert!(marks.is_neighbour(1) && !marks.is_neighbour(0) && !marks.is_neighbour(2));
        let spot = Spot::Point { ring: 1, index: 2 };
        assert_eq!(marks.label(spot), "Neighbour 1, point 3");
    }

    #[test]
    fn holes_come_after_the_outline_and_go_when_empty() {
        let mut marks = traced(&SQUARE);
        marks.open_hole();
        assert_eq!(marks.open, Some(0), "first the outline is closed");
        marks.close();
        marks.open_hole();
        assert!(marks.holes().is_empty());
        let spot = marks.add(Task::Outline, [4.0, 4.0]).unwrap();
        assert_eq!(spot, Spot::Point { ring: 1, index: 0 });
        assert_eq!(marks.label(spot), "Hole 1, point 1");
        marks.add(Task::Outline, [5.0, 4.0]);
        assert!(marks.holes().is_empty(), "two points enclose nothing");
        marks.add(Task::Outline, [5.0, 5.0]);
        assert_eq!(marks.holes(), [[[4.0, 4.0], [5.0, 4.0], [5.0, 5.0]]]);
        for _ in 0..3 {
            marks.remove(spot);
        }
        assert_eq!((marks.rings.len(), marks.open), (1, None));
        assert_eq!(marks.outline(), SQUARE);
    }

    #[test]
    fn stored_marks_come_back_and_an_unfinished_ring_is_traced_on() {
        let mut shot = Shot {
            outline: SQUARE.to_vec(),
            ..Shot::default()
        };
        assert_eq!(Marks::stored(&shot).open, None);
        shot.outline.truncate(2);
        let marks = Marks::stored(&shot);
        assert_eq!(marks.open, Some(0));
        assert_eq!(marks.spots(Task::Outline).len(), 2);
        assert!(marks.spots(Task::Check).is_empty() && !marks.wants_more(Task::Check));
        assert!(marks.same_as(&shot) && !marks.same_as(&Shot::default()));
        assert!(!marks.is_bare());
        assert!(Marks::stored(&Shot::default()).is_bare());
    }

    #[test]
    fn a_shared_place_counts_once_it_is_marked_on_both_photos() {
        let mut marks = Marks::default();
        marks.become_kind(Kind::Shared);
        assert_eq!(marks.add(Task::Reference, [1.0, 2.0]), Some(Spot::Pending));
        assert!(marks.reference_places().is_empty());
        marks.tie([7.0, 8.0]);
        assert_eq!(marks.place(Spot::Reference(0)), Some([1.0, 2.0]));
        assert_eq!(marks.label(Spot::Reference(0)), "Shared place 1");
        marks.shift(Spot::Reference(0), [1.5, 2.0]);
        let Some(Reference::Ties { ties }) = &marks.reference else {
            panic!("no ties")
        };
        let (here, there) = ([1.5, 2.0], [7.0, 8.0]);
        assert_eq!(*ties, [Tie { here, there }]);
        marks.remove(Spot::Reference(0));
        assert!(marks.reference_places().is_empty());
    }

    #[test]
    fn what_was_found_is_known_as_found_until_it_is_moved() {
        let mut marks = Marks::default();
        for p in SQUARE {
            marks.add(Task::Reference, p);
        }
        marks.settle([9.0, 9.0], [8.8, 9.1], 0.2);
        assert_eq!(marks.place(Spot::Reference(2)), Some([8.8, 9.1]));
        assert_eq!(marks.found_places(), [[8.8, 9.1]]);
        marks.shift(Spot::Reference(2), [8.0, 9.0]);
        assert!(marks.found_places().is_empty());
        let mut shot = Shot::default();
        marks.keep(&mut shot);
        assert!(shot.found.is_empty());
    }

    #[test]
    fn marks_that_are_not_there_are_left_alone() {
        let mut marks = traced(&SQUARE);
        let before = marks.clone();
        let ghost = Spot::Point { ring: 3, index: 9 };
        marks.shift(ghost, [1.0, 1.0]);
        marks.remove(ghost);
        marks.remove(Spot::Reference(0));
        marks.remove_hole(1);
        assert_eq!(marks, before);
        assert_eq!(marks.place(ghost), None);
    }

    #[test]
    fn the_rectangle_is_drawn_round_whatever_the_order_of_taps() {
        let mut marks = Marks::default();
        for i in [2, 0, 3, 1] {
            marks.add(Task::Reference, SQUARE[i]);
        }
        assert_eq!(marks.rectangle().unwrap(), SQUARE);
        assert!(
            Kind::ALL
                .iter()
                .all(|k| !k.key().is_empty() && !k.name().is_empty())
        );
    }

    #[test]
    fn a_section_is_an_open_line_that_goes_on_at_its_end() {
        let mut marks = Marks::stored(&Shot {
            shows: Shows::Section,
            ..Shot::default()
        });
        for p in &SQUARE[..3] {
            marks.add(Task::Outline, *p);
        }
        marks.close();
        assert!(marks.is_section() && !marks.wants_more(Task::Outline));
        marks.go_on();
        assert!(marks.wants_more(Task::Outline));
        marks.add(Task::Outline, SQUARE[3]);
        assert_eq!(marks.outline(), SQUARE);
        assert!(
            marks
                .label(Spot::Point { ring: 0, index: 3 })
                .starts_with("Section point 4")
        );
    }
}
