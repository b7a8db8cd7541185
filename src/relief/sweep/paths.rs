//! Semi-global matching: the labels of neighbours are made to agree along eight paths.
//!
//! H. Hirschmüller, "Stereo processing by semiglobal matching and mutual information", IEEE Trans.
//! Pattern Anal. Mach. Intell. 30(2), 2008. A label is a height or a disparity; a step of one
//! label between neighbours costs little, any larger one the same.

/// What each label costs at each place: the labels of a place stand together, places row by row.
pub(super) struct Volume {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) labels: usize,
    pub(super) cost: Vec<u8>,
}

/// What it costs when neighbours differ.
#[derive(Clone, Copy, Debug)]
pub(super) struct Penalty {
    /// By one label; by two, twice as much.
    pub(super) step: u16,
    /// By more than two.
    pub(super) jump: u16,
}

/// The label of each place, counted from 0, between labels.
pub(super) struct Labels {
    pub(super) label: Vec<f32>,
}

/// A jump where the picture is even is so many times as dear: cliffs show.
const EVEN: u16 = 4;
/// Larger than any sum along a path.
const NEVER: u16 = u16::MAX / 2;

/// Sums the costs of all eight paths and takes the least. `even` says where the picture shows
/// nothing that could tell a jump.
pub(super) fn agree(volume: &Volume, penalty: Penalty, even: Option<&[bool]>) -> Labels {
    let mut sums = vec![0_u16; volume.cost.len()];
    for backward in [false, true] {
        pass(volume, penalty, even, backward, &mut sums);
    }
    best(volume, &sums)
}

/// The four paths that come from places already passed: along the row and from the three places of
/// the row before.
fn pass(
    volume: &Volume,
    penalty: Penalty,
    even: Option<&[bool]>,
    backward: bool,
    sums: &mut [u16],
) {
    let (columns, labels) = (volume.columns, volume.labels);
    // Two labels more at either end that nothing comes from, and the least of all at the very end.
    let stride = labels + 5;
    let blank = || {
        let mut row = vec![NEVER; columns * stride];
        for place in row.chunks_exact_mut(stride) {
            place[2..labels + 2].fill(0);
            place[stride - 1] = 0;
        }
        row
    };
    let mut before = [blank(), blank(), blank()];
    let mut here = [blank(), blank(), blank()];
    let start = {
        let mut place = vec![NEVER; stride];
        place[2..labels + 2].fill(0);
        place[stride - 1] = 0;
        place
    };
    let mut along = start.clone();
    let mut next = vec![NEVER; stride];
    for r in 0..volume.rows {
        let row = if backward { volume.rows - 1 - r } else { r };
        along.copy_from_slice(&start);
        for c in 0..columns {
            let column = if backward { columns - 1 - c } else { c };
            let place = row * columns + column;
            let cost = &volume.cost[place * labels..][..labels];
            let sum = &mut sums[place * labels..][..labels];
            let dearer = match even {
                Some(even) if even[place] => EVEN,
                _ => 1,
            };
            let penalty = Penalty {
                step: penalty.step,
                jump: dearer * penalty.jump,
            };
            step(cost, &along, penalty, &mut next, sum);
            std::mem::swap(&mut along, &mut next);
            // From the place above, and from those to its sides.
            for (path, aside) in [0_isize, 1, -1].into_iter().enumerate() {
                let from = column as isize + aside;
                let from = if from < 0 || from >= columns as isize || r == 0 {
                    &start[..]
                } else {
                    &before[path][from as usize * stride..][..stride]
                };
                let to = &mut here[path][column * stride..][..stride];
                step(cost, from, penalty, to, sum);
            }
        }
        std::mem::swap(&mut before, &mut here);
    }
}

/// One step of a path: its costs at this place from those at the last.
#[inline]
fn step(cost: &[u8], from: &[u16], penalty: Penalty, to: &mut [u16], sum: &mut [u16]) {
    let labels = cost.len();
    let least = from[labels + 4];
    let jump = least + penalty.jump;
    let two = 2 * penalty.step;
    let [far_under, under, same, over, far_over] = std::array::from_fn(|i| &from[i..i + labels]);
    let (cost, sum) = (&cost[..labels], &mut sum[..labels]);
    let mut lowest = NEVER;
    let into = &mut to[2..labels + 2];
    for i in 0..labels {
        let aside = under[i].min(over[i]) + penalty.step;
        let further = far_under[i].min(far_over[i]) + two;
        let way = same[i].min(aside).min(further).min(jump) - least + u16::from(cost[i]);
        into[i] = way;
        sum[i] += way;
        lowest = lowest.min(way);
    }
    to[labels + 4] = lowest;
}

/// The least sum of each place, between labels by the parabola through it and its neighbours.
fn best(volume: &Volume, sums: &[u16]) -> Labels {
    let places = volume.columns * volume.rows;
    let mut found = Labels {
        label: Vec::with_capacity(places),
    };
    for sum in sums.chunks_exact(volume.labels) {
        let least = (0..sum.len()).min_by_key(|i| sum[*i]).unwrap_or(0);
        let value = f32::from(sum[least]);
        let mut label = least as f32;
        if least > 0 && least + 1 < sum.len() {
            let (low, high) = (f32::from(sum[least - 1]), f32::from(sum[least + 1]));
            let bend = low - 2.0 * value + high;
            if bend > 0.0 {
                label += (0.5 * (low - high) / bend).clamp(-0.5, 0.5);
            }
        }
        found.label.push(label);
    }
    found
}
