//! Semi-global matching: the labels of neighbours are made to agree along eight paths.
//!
//! H. Hirschmüller, "Stereo processing by semiglobal matching and mutual information", IEEE Trans.
//! Pattern Anal. Mach. Intell. 30(2), 2008. A label is a height or a disparity; a step of one
//! label between neighbours costs little, any larger one the same.
//!
//! Beside the cheapest label of a place no other costs more than a jump, so that all fit into
//! bytes, and many are worked out at once.

/// So many labels are worked out at once.
const LANES: usize = 16;

/// What each label costs at each place.
pub(super) struct Volume {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) labels: usize,
    /// The labels of a place stand together, up to whole lanes; places row by row.
    cost: Vec<u8>,
}

impl Volume {
    /// All costs are the same.
    pub(super) fn of(columns: usize, rows: usize, labels: usize, cost: u8) -> Self {
        let mut volume = Self {
            columns,
            rows,
            labels,
            cost: vec![NEVER; columns * rows * labels.next_multiple_of(LANES)],
        };
        for place in 0..columns * rows {
            volume.at(place).fill(cost);
        }
        volume
    }

    /// How far the costs of neighbouring places are apart.
    fn stride(&self) -> usize {
        self.labels.next_multiple_of(LANES)
    }

    /// The costs of a place.
    pub(super) fn at(&mut self, place: usize) -> &mut [u8] {
        let from = place * self.stride();
        &mut self.cost[from..from + self.labels]
    }

    /// What a label costs at a place.
    pub(super) fn cost(&self, place: usize, label: usize) -> u8 {
        self.cost[place * self.stride() + label]
    }
}

/// What it costs when neighbours differ. A jump where the picture is even, and the largest cost of
/// a place, have to fit into a byte together.
#[derive(Clone, Copy, Debug)]
pub(super) struct Penalty {
    /// By one label; by two, twice as much.
    pub(super) step: u8,
    /// By more than two.
    pub(super) jump: u8,
}

/// A jump where the picture is even is so many times as dear: cliffs show.
const EVEN: u8 = 4;
/// What no path goes through.
const NEVER: u8 = u8::MAX;

/// Sums the costs of all eight paths and takes the least: the label of each place, counted from 0,
/// between labels. `even` says where the picture shows nothing that could tell a jump.
pub(super) fn agree(volume: &Volume, penalty: Penalty, even: Option<&[bool]>) -> Vec<f32> {
    let mut sums = vec![0_u16; volume.cost.len()];
    for backward in [false, true] {
        pass(volume, penalty, even, backward, &mut sums);
    }
    let of_place = sums.chunks_exact(volume.stride());
    of_place.map(|sums| best(&sums[..volume.labels])).collect()
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
    let (columns, stride) = (volume.columns, volume.stride());
    // Two labels more at either end that nothing comes from, and the least of all at the very end.
    let wide = stride + 5;
    let start = {
        let mut place = vec![NEVER; wide];
        place[2..volume.labels + 2].fill(0);
        place[wide - 1] = 0;
        place
    };
    // From the place above, and from those to its sides; a place beyond either end of the row.
    let mut before: [Vec<u8>; 3] = std::array::from_fn(|_| start.repeat(columns + 2));
    let mut here = before.clone();
    let mut along = start.clone();
    let mut next = start.clone();
    for r in 0..volume.rows {
        let row = if backward { volume.rows - 1 - r } else { r };
        along.copy_from_slice(&start);
        for c in 0..columns {
            let column = if backward { columns - 1 - c } else { c };
            let place = row * columns + column;
            let cost = &volume.cost[place * stride..][..stride];
            let sum = &mut sums[place * stride..][..stride];
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
            for (path, (before, here)) in before.iter().zip(&mut here).enumerate() {
                // The middle one of three, the one to the right, the one to the left.
                let from = &before[(column + [1, 2, 0][path]) * wide..][..wide];
                let to = &mut here[(column + 1) * wide..][..wide];
                step(cost, from, penalty, to, sum);
            }
        }
        std::mem::swap(&mut before, &mut here);
    }
}

/// One step of a path: its costs at this place from those at the last.
#[inline]
fn step(cost: &[u8], from: &[u8], penalty: Penalty, to: &mut [u8], sum: &mut [u16]) {
    let labels = cost.len();
    let least = from[labels + 4];
    let jump = least.saturating_add(penalty.jump);
    let (one, two) = (penalty.step, 2 * penalty.step);
    let mut lowest = [NEVER; LANES];
    for first in (0..labels).step_by(LANES) {
        let near: [&[u8; LANES]; 5] = std::array::from_fn(|n| lanes(&from[first + n..]));
        let (cost, sum) = (lanes(&cost[first..]), &mut sum[first..first + LANES]);
        let into = &mut to[first + 2..first + 2 + LANES];
        for i in 0..LANES {
            let [far_under, under, same, over, far_over] = near.map(|near| near[i]);
            let aside = under.min(over).saturating_add(one);
            let further = far_under.min(far_over).saturating_add(two);
            let way = same.min(aside).min(further).min(jump) - least;
            let way = way.saturating_add(cost[i]);
            into[i] = way;
            sum[i] += u16::from(way);
            lowest[i] = lowest[i].min(way);
        }
    }
    to[labels + 4] = lowest.into_iter().fold(NEVER, u8::min);
}

#[expect(clippy::expect_used, reason = "labels come in whole lanes")]
fn lanes(of: &[u8]) -> &[u8; LANES] {
    of.first_chunk().expect("whole lanes")
}

/// The label of the least sum, between labels by the parabola through it and its neighbours.
fn best(sums: &[u16]) -> f32 {
    let value = sums.iter().copied().fold(u16::MAX, u16::min);
    let least = sums.iter().position(|sum| *sum == value).unwrap_or(0);
    let mut label = least as f32;
    if least > 0 && least + 1 < sums.len() {
        let [low, here, high] = [sums[least - 1], value, sums[least + 1]].map(f32::from);
        let bend = low - 2.0 * here + high;
        if bend > 0.0 {
            label += (0.5 * (low - high) / bend).clamp(-0.5, 0.5);
        }
    }
    label
}
