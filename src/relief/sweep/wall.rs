//! Places of the wall around the piece, found again in the other photos.
//!
//! A reference is small beside what is measured from it: a camera's pose from its marks alone is
//! several millimetres off at the far side of a piece. But all photos see one flat wall, so what
//! they show of it, laid flat, lies one over the other up to a homography, and that is found from
//! coarse to fine: patches are compared by their correlation, and what most patches agree on is
//! kept (M. Fischler and R. Bolles, Comm. ACM 24(6), 1981).

use super::photo::{Eye, Pixels, Sizes};
use crate::survey::{Camera, GreyView, Homography, Mm, Px, Spotted, Track};

/// One round of looking for patches.
struct Round {
    /// Millimetres from place to place of the flat pictures, as a multiple of the finest.
    coarse: f64,
    /// How far a patch may lie from where it is expected, in places.
    search: isize,
}

/// From coarse to fine. A pose from a card's corners is up to a few centimetres off at the far side.
const ROUNDS: [Round; 4] = [
    Round {
        coarse: 8.0,
        search: 6,
    },
    Round {
        coarse: 4.0,
        search: 3,
    },
    Round {
        coarse: 2.0,
        search: 3,
    },
    Round {
        coarse: 1.0,
        search: 3,
    },
];
/// Half a patch's side, in places.
const HALF: isize = 7;
/// About so many patches are looked for in a round.
const PATCHES: f64 = 700.0;
/// Patches less alike than this are not the same place.
const LEAST_ALIKE: f64 = 0.55;
/// The best place of a patch has to be more alike than any other by this much.
const LEAST_LEAD: f64 = 0.04;
/// A patch whose brightness varies by less than this shows nothing but noise.
const LEAST_TEXTURE: f32 = 0.6;
/// Trials of four patches each.
const TRIALS: usize = 200;
/// A homography that fewer patches agree on is chance.
const LEAST_PATCHES: usize = 12;
/// With fewer patches on the wall the reference tells more than they do.
const LEAST_TRACKS: usize = 40;
/// Marks lie this far from where the wall's patches say at most, in pixels: they are set by hand, and
/// a card lies before the wall by its thickness.
const MARK_OFF_PX: f64 = 6.0;
/// The flat pictures have this many places at most.
const MOST_PLACES: f64 = 6e6;
/// How far off a patch found to a part of a pixel is seen, in pixels: the start, before the
/// patches tell by themselves.
const SD_PX: f64 = 0.15;

/// One photo and the camera as it was found from its own evidence.
pub(super) struct Known<'a> {
    pub(super) grey: GreyView<'a>,
    /// Poses that its evidence allows, the likelier first.
    pub(super) poses: Vec<Camera>,
    /// Marks of known place, and where they are seen.
    pub(super) marks: Vec<(Mm, Px)>,
}

/// Where the marks that both photos show lie by one's camera and by the other's: what of a wrong
/// pose can be known without the right one.
fn start(
    from: &Known<'_>,
    camera: &Camera,
    other: &Known<'_>,
    pose: &Camera,
) -> Option<Homography> {
    let same = |(mm, px): &(Mm, Px)| {
        let (_, there) = other.marks.iter().find(|mark| mark.0 == *mm)?;
        Some((camera.unsee(*px)?, pose.unsee(*there)?))
    };
    let (a, b): (Vec<Mm>, Vec<Mm>) = from.marks.iter().filter_map(same).unzip();
    Homography::fit(&a, &b).ok()
}

/// What is looked at, on the wall.
pub(super) struct Around<'a> {
    /// The smallest and largest place.
    pub(super) reach: [Mm; 2],
    /// Whether a place may show the piece, which is no wall.
    pub(super) piece: &'a dyn Fn(Mm) -> bool,
}

/// Looks in every other photo for what photo `base` shows of the wall.
pub(super) fn tracks(known: &[Known<'_>], base: usize, around: &Around<'_>) -> Vec<Track> {
    let from = &known[base];
    let Some(camera) = from.poses.first() else {
        return Vec::new();
    };
    let Some(fine) = pixel_on_wall(camera, around.reach) else {
        return Vec::new();
    };
    let size = [0, 1].map(|k| around.reach[1][k] - around.reach[0][k]);
    let fine = fine.max((size[0] * size[1] / MOST_PLACES).sqrt());
    let centers = Centers::over(around, fine);
    let mut tracks: Vec<Track> = centers
        .finest()
        .iter()
        .filter_map(|mm| {
            let px = camera.see_before(*mm, 0.0)?;
            Some(vec![Spotted {
                photo: base,
                px,
                sd: SD_PX / 4.0,
            }])
        })
        .collect();
    let mut sizes = Sizes::of(from.grey);
    for (photo, other) in known.iter().enumerate().filter(|(at, _)| *at != base) {
        let mut sizes = [&mut sizes, &mut Sizes::of(other.grey)];
        let poses = other.poses.iter();
        let found = poses
            .filter_map(|pose| matched(from, camera, other, pose, &mut sizes, &centers))
            .max_by_key(|found| found.iter().flatten().count());
        for (track, px) in tracks.iter_mut().zip(found.into_iter().flatten()) {
            if let Some(px) = px {
                track.push(Spotted {
                    photo,
                    px,
                    sd: SD_PX,
                });
            }
        }
    }
    tracks.retain(|track| track.len() > 1);
    tracks
}

/// How large a pixel is on the wall in the middle of what is looked at, in millimetres.
pub(super) fn pixel_on_wall(camera: &Camera, reach: [Mm; 2]) -> Option<f64> {
    let middle = [0, 1].map(|k| (reach[0][k] + reach[1][k]) / 2.0);
    let px = camera.see_before(middle, 0.0)?;
    let aside = camera.see_before([middle[0] + 1.0, middle[1]], 0.0)?;
    let size = (aside[0] - px[0]).hypot(aside[1] - px[1]).recip();
    size.is_finite().then_some(size)
}

/// The middles of the patches of each round.
struct Centers {
    of_rounds: Vec<Vec<Mm>>,
    /// The smallest and largest place of what is looked at.
    reach: [Mm; 2],
    /// Millimetres from place to place of the finest flat pictures.
    fine: f64,
}

impl Centers {
    fn over(around: &Around<'_>, fine: f64) -> Self {
        let size = [0, 1].map(|k| around.reach[1][k] - around.reach[0][k]);
        let apart = (size[0] * size[1] / PATCHES).sqrt();
        let of_round = |round: &Round| {
            let half = HALF as f64 * round.coarse * fine;
            let apart = apart.max(half / 2.0);
            let mut centers = Vec::new();
            let mut y = around.reach[0][1] + half;
            while y < around.reach[1][1] - half {
                let mut x = around.reach[0][0] + half;
                while x < around.reach[1][0] - half {
                    let rim = [-half, -half / 2.0, 0.0, half / 2.0, half];
                    let over = rim
                        .iter()
                        .any(|dy| rim.iter().any(|dx| (around.piece)([x + dx, y + dy])));
                    if !over {
                        centers.push([x, y]);
                    }
                    x += apart;
                }
                y += apart;
            }
            // Patches are compared place by place: their middles are places of the round's grid.
            let step = round.coarse * fine;
            for mm in &mut centers {
                *mm = [0, 1].map(|k| {
                    let first = around.reach[0][k];
                    first + step * ((mm[k] - first) / step).round()
                });
            }
            centers
        };
        Self {
            of_rounds: ROUNDS.iter().map(of_round).collect(),
            reach: around.reach,
            fine,
        }
    }

    fn finest(&self) -> &[Mm] {
        self.of_rounds.last().map_or(&[], |last| last)
    }
}

/// A part of the wall laid flat, of which only what is looked at is worked out.
struct Flat<'a> {
    photo: Pixels<'a>,
    eye: Eye,
    map: &'a Homography,
    columns: usize,
    rows: usize,
    origin: Mm,
    step: f64,
}

impl<'a> Flat<'a> {
    /// The wall as `camera` sees it, where `map` says that a place lies.
    fn new(
        photo: Pixels<'a>,
        camera: &Camera,
        map: &'a Homography,
        reach: [Mm; 2],
        step: f64,
    ) -> Self {
        let side = |k: usize| ((reach[1][k] - reach[0][k]) / step) as usize + 1;
        Self {
            eye: Eye::new(camera, photo.side(), [0.0, 0.0], 1.0),
            photo,
            map,
            columns: side(0),
            rows: side(1),
            origin: reach[0],
            step,
        }
    }

    fn place(&self, mm: Mm) -> [isize; 2] {
        [0, 1].map(|k| ((mm[k] - self.origin[k]) / self.step).round() as isize)
    }

    /// The brightness of a place; NaN where the photo doesn't show it, and beyond the flat part.
    fn at(&self, column: isize, row: isize) -> f32 {
        let there = |at: isize, side: usize| at >= 0 && at < side as isize;
        if !(there(column, self.columns) && there(row, self.rows)) {
            return f32::NAN;
        }
        let mm = [
            self.origin[0] + self.step * column as f64,
            self.origin[1] + self.step * row as f64,
        ];
        self.map.apply(mm).map_or(f32::NAN, |mm| {
            let [x, y] = self.eye.see(mm[0] as f32, mm[1] as f32, 0.0);
            self.photo.at(x, y)
        })
    }

    /// The square of `reach` places to all sides of one, row by row.
    fn square(&self, [column, row]: [isize; 2], reach: isize) -> Vec<f32> {
        let rows = row - reach..=row + reach;
        rows.flat_map(|r| (column - reach..=column + reach).map(move |c| self.at(c, r)))
            .collect()
    }
}

/// The patch that lies so far from the corner of a square of `side` places: its values less their
/// mean, and their length; `None` where it isn't whole, or even.
fn patch(square: &[f32], side: usize, from: [usize; 2], into: &mut Vec<f32>) -> Option<f32> {
    let wide = 2 * HALF as usize + 1;
    into.clear();
    for row in from[1]..from[1] + wide {
        into.extend_from_slice(&square[row * side + from[0]..][..wide]);
    }
    let count = into.len() as f32;
    let mean = into.iter().sum::<f32>() / count;
    into.iter_mut().for_each(|v| *v -= mean);
    let length = into.iter().map(|v| v * v).sum::<f32>().sqrt();
    // NaN fails the comparison.
    (length > LEAST_TEXTURE * count.sqrt()).then_some(length)
}

/// Where the other photo shows each of the finest patches, in its pixels; `None` altogether where
/// the photos don't agree on a wall.
fn matched(
    from: &Known<'_>,
    camera: &Camera,
    other: &Known<'_>,
    pose: &Camera,
    [here, there]: &mut [&mut Sizes<'_>; 2],
    centers: &Centers,
) -> Option<Vec<Option<Px>>> {
    let (reach, fine) = (centers.reach, centers.fine);
    let same = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let straight = Homography::fit(&same, &same).ok()?;
    let mut map = start(from, camera, other, pose).unwrap_or(straight);
    let mut found = Vec::new();
    for (round, centers) in ROUNDS.iter().zip(&centers.of_rounds) {
        let step = round.coarse * fine;
        // What the photo resolves beyond the step would only shimmer.
        let side = |camera: &Camera| {
            let px = pixel_on_wall(camera, reach).unwrap_or(fine);
            ((step / px).round() as usize).max(1)
        };
        let (a, b) = (here.reduced(side(camera)), there.reduced(side(pose)));
        let a = Flat::new(a, camera, &straight, reach, step);
        let b = Flat::new(b, pose, &map, reach, step);
        let moved = centers.iter().map(|mm| moved(&a, &b, *mm, round.search));
        // From the base's places to those of the other photo.
        let pairs: Vec<Option<(Mm, Mm)>> = moved
            .zip(centers)
            .map(|(shift, mm)| {
                let [dx, dy] = shift?;
                let to = map.apply([mm[0] + step * dx, mm[1] + step * dy])?;
                Some((*mm, to))
            })
            .collect();
        let whole: Vec<(Mm, Mm)> = pairs.iter().copied().flatten().collect();
        let near = if round.coarse > 1.0 { 0.8 } else { 1.2 } * step;
        let Some((agreed, kept)) = agreed(&whole, near) else {
            if round.coarse > 1.0 {
                // Too little is left of coarse patches around a large piece: finer ones may do.
                continue;
            }
            return None;
        };
        map = agreed;
        if round.coarse == 1.0
            && (whole.len() < LEAST_TRACKS || !holds(from, camera, other, pose, &map, fine))
        {
            return None;
        }
        found.clear();
        let mut kept = kept.into_iter();
        for pair in pairs {
            let good = pair.filter(|_| kept.next().unwrap_or(false));
            found.push(good.and_then(|(_, to)| pose.see_before(to, 0.0)));
        }
    }
    Some(found)
}

/// Whether the map takes the reference's marks to where the other photo shows them: a wall that
/// isn't the reference's is none.
fn holds(
    from: &Known<'_>,
    camera: &Camera,
    other: &Known<'_>,
    pose: &Camera,
    map: &Homography,
    fine: f64,
) -> bool {
    from.marks.iter().all(|(mm, px)| {
        let there = other.marks.iter().find(|mark| mark.0 == *mm);
        let pair = there.and_then(|(_, there)| Some((camera.unsee(*px)?, pose.unsee(*there)?)));
        // A mark that only one photo shows tells nothing.
        pair.is_none_or(|(here, there)| {
            map.apply(here)
                .is_some_and(|at| (at[0] - there[0]).hypot(at[1] - there[1]) < MARK_OFF_PX * fine)
        })
    })
}

/// By how many places the patch about a place lies elsewhere in the other picture.
fn moved(a: &Flat<'_>, b: &Flat<'_>, mm: Mm, search: isize) -> Option<[f64; 2]> {
    let at = a.place(mm);
    let (mut here, mut there) = (Vec::new(), Vec::new());
    let own = a.square(at, HALF);
    let length = patch(&own, 2 * HALF as usize + 1, [0, 0], &mut here)?;
    let side = (2 * search + 1) as usize;
    let (square, wide) = (b.square(at, HALF + search), side + 2 * HALF as usize);
    let mut alike = vec![f64::NAN; side * side];
    for dy in -search..=search {
        for dx in -search..=search {
            let from = [dx, dy].map(|by| (by + search) as usize);
            let Some(other) = patch(&square, wide, from, &mut there) else {
                continue;
            };
            let dot: f32 = here.iter().zip(&there).map(|(a, b)| a * b).sum();
            let index = from[1] * side + from[0];
            alike[index] = f64::from(dot / (length * other));
        }
    }
    let value = |x: isize, y: isize| alike[(y + search) as usize * side + (x + search) as usize];
    let mut best = [0, 0];
    let mut highest = f64::NEG_INFINITY;
    for dy in -search..=search {
        for dx in -search..=search {
            if value(dx, dy) > highest {
                highest = value(dx, dy);
                best = [dx, dy];
            }
        }
    }
    let [x, y] = best;
    if highest < LEAST_ALIKE || x.abs() == search || y.abs() == search {
        return None;
    }
    for dy in -search..=search {
        for dx in -search..=search {
            let apart = (dx - x).abs().max((dy - y).abs()) > 2;
            if apart && value(dx, dy) > highest - LEAST_LEAD {
                return None;
            }
        }
    }
    let part = |low: f64, high: f64| {
        let bend = low - 2.0 * highest + high;
        let part = 0.5 * (low - high) / bend;
        (bend < 0.0 && part.abs() <= 1.0).then_some(part)
    };
    let dx = part(value(x - 1, y), value(x + 1, y))?;
    let dy = part(value(x, y - 1), value(x, y + 1))?;
    Some([x as f64 + dx, y as f64 + dy])
}

/// The homography on which most pairs agree to `near` millimetres, and which pairs these are.
fn agreed(pairs: &[(Mm, Mm)], near: f64) -> Option<(Homography, Vec<bool>)> {
    if pairs.len() < LEAST_PATCHES {
        return None;
    }
    let mut chance = fastrand::Rng::with_seed(7);
    let mut best: Option<(usize, Homography)> = None;
    let agree = |map: &Homography, near: f64| -> Vec<bool> {
        let off = |(from, to): &(Mm, Mm)| {
            map.apply(*from)
                .is_some_and(|at| (at[0] - to[0]).hypot(at[1] - to[1]) < near)
        };
        pairs.iter().map(off).collect()
    };
    let count = |kept: &[bool]| kept.iter().filter(|k| **k).count();
    for _ in 0..TRIALS {
        let four: Vec<(Mm, Mm)> = (0..4).map(|_| pairs[chance.usize(..pairs.len())]).collect();
        let (from, to): (Vec<Mm>, Vec<Mm>) = four.into_iter().unzip();
        let Ok(map) = Homography::fit(&from, &to) else {
            continue;
        };
        let agree = count(&agree(&map, near));
        if best.as_ref().is_none_or(|best| agree > best.0) {
            best = Some((agree, map));
        }
    }
    let mut map = best?.1;
    // Twice more with all that agree, so that four patches' own errors don't decide.
    for _ in 0..3 {
        let kept = agree(&map, near);
        let agreeing = pairs.iter().zip(&kept).filter(|(_, kept)| **kept);
        let (from, to): (Vec<Mm>, Vec<Mm>) = agreeing.map(|(pair, _)| *pair).unzip();
        if from.len() < LEAST_PATCHES {
            return None;
        }
        map = Homography::fit(&from, &to).ok()?;
    }
    let kept = agree(&map, near);
    (count(&kept) >= LEAST_PATCHES && 4 * count(&kept) >= pairs.len()).then_some((map, kept))
}
