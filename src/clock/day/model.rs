//! A day with its works numbered through.

use super::hours::{EPS, Hours};
use super::request::{Day, DayPiece, Settled};
use crate::clock::age::Ageing;
use crate::quantity::Minutes;

/// One work.
#[derive(Clone, Debug)]
pub(super) struct Task {
    pub piece: usize,
    pub work: usize,
    pub takes: f64,
    pub prev: Option<usize>,
    pub next: Option<usize>,
    /// Least and greatest age of the gap before it; the greatest may be infinite.
    pub least: f64,
    pub most: f64,
    pub crew: usize,
    /// Its start, where that is settled.
    pub fixed: Option<f64>,
    /// Whether it has begun, so that nothing about it is judged.
    pub begun: bool,
    /// The least time from its end to the end of the piece's last work.
    pub tail: f64,
}

/// All works of a day.
#[derive(Clone, Debug)]
pub(super) struct Model<'a> {
    pub tasks: Vec<Task>,
    /// The works of each piece, in their order.
    pub chains: Vec<Vec<usize>>,
    /// Pairs of hands, by crew: no more than there are works, since more would never be used.
    pub crews: Vec<usize>,
    pub hours: &'a Hours,
    pub from: f64,
    /// The piece before in the list that is just like this one.
    pub twin: Vec<Option<usize>>,
    /// What a better plan has to be better by: a minute where only whole minutes can come out,
    /// a second otherwise.
    pub step: f64,
    /// Whether waits last equally long at any time, and the site never closes.
    pub steady: bool,
    ageings: Vec<&'a Ageing>,
}

impl<'a> Model<'a> {
    pub fn of(day: &'a Day) -> Self {
        let mut tasks: Vec<Task> = Vec::new();
        let mut chains = Vec::new();
        let from = day.from.0;
        for (p, piece) in day.pieces.iter().enumerate() {
            let first = tasks.len();
            let count = piece.works.len();
            for (w, work) in piece.works.iter().enumerate() {
                let (fixed, begun) = match work.settled {
                    Settled::Free => (None, false),
                    Settled::Pinned(start) => (Some(start.0), false),
                    Settled::Begun(start) => (Some(start.0), true),
                };
                tasks.push(Task {
                    piece: p,
                    work: w,
                    takes: work.takes.0,
                    prev: (w > 0).then(|| first + w - 1),
                    next: (w + 1 < count).then_some(first + w + 1),
                    least: if w > 0 { work.gap.least.0 } else { 0.0 },
                    most: match work.gap.most {
                        Some(most) if w > 0 => most.0,
                        _ => f64::INFINITY,
                    },
                    crew: work.crew,
                    fixed,
                    begun,
                    tail: 0.0,
                });
            }
            let fastest = piece.ageing.rates_from(day.from).fold(0.0, f64::max);
            for t in (first..tasks.len()).rev() {
                if let Some(next) = tasks[t].next {
                    let next = &tasks[next];
                    tasks[t].tail = next.least / fastest + next.takes + next.tail;
                }
            }
            chains.push((first..tasks.len()).collect());
        }
        let twin = (0..day.pieces.len())
            .map(|p| {
                (0..p)
                    .rev()
                    .find(|&q| alike(&day.pieces[q], &day.pieces[p]))
            })
            .collect();
        let one_rate = |piece: &DayPiece| {
            let mut rates = piece.ageing.rates_from(day.from);
            let first = rates.next();
            rates.all(|rate| Some(rate) == first)
        };
        let steady = day.hours.is_always() && day.pieces.iter().all(one_rate);
        let most = tasks.len().max(1);
        let mut model = Self {
            crews: day.crews.iter().map(|pairs| (*pairs).min(most)).collect(),
            tasks,
            chains,
            hours: &day.hours,
            from,
            twin,
            step: 1.0 / 60.0,
            steady,
            ageings: day.pieces.iter().map(|piece| &piece.ageing).collect(),
        };
        if model.only_whole(day) {
            model.step = 1.0;
        }
        model
    }

    /// Whether every time that can come out is a whole minute.
    fn only_whole(&self, day: &Day) -> bool {
        let whole = |x: f64| x.fract() == 0.0 || x.is_infinite();
        let times = self.tasks.iter().all(|task| {
            [task.takes, task.least, task.most, task.fixed.unwrap_or(0.0)]
                .into_iter()
                .all(whole)
        });
        // Rates before now count where a coat already waits.
        let begins = self.tasks.iter().filter_map(|task| task.fixed);
        let since = begins.fold(self.from, f64::min);
        let rates = self.ageings.iter();
        times
            && whole(self.from)
            && rates
                .flat_map(|ageing| ageing.rates_from(Minutes(since)))
                .all(|rate| rate == 1.0)
            && (day.hours.windows()).all(|(open, close)| whole(open.0) && whole(close.0))
    }

    fn ageing(&self, task: &Task) -> &Ageing {
        self.ageings[task.piece]
    }

    /// When the gap before a work is long enough, the work before it ending at `end`.
    pub fn ready(&self, task: &Task, end: f64) -> f64 {
        self.ageing(task)
            .reached(Minutes(end), Minutes(task.least))
            .0
    }

    /// When the gap before a work is too long; infinite if it has no limit.
    pub fn until(&self, task: &Task, end: f64) -> f64 {
        if task.most.is_infinite() {
            return f64::INFINITY;
        }
        self.ageing(task)
            .reached(Minutes(end), Minutes(task.most))
            .0
    }

    /// The latest end of the work before a work that starts at `start`.
    pub fn needs(&self, task: &Task, start: f64) -> f64 {
        self.ageing(task)
            .latest(Minutes(start), Minutes(task.least))
            .0
    }

    /// The earliest end of the work before a work that starts at `start`.
    pub fn holds(&self, task: &Task, start: f64) -> f64 {
        if task.most.is_infinite() {
            return f64::NEG_INFINITY;
        }
        self.ageing(task)
            .latest(Minutes(start), Minutes(task.most))
            .0
    }

    /// Whether any gap that is still to come has a limit that isn't settled already.
    pub fn has_limits(&self) -> bool {
        self.tasks.iter().any(|task| self.is_limit(task))
    }

    /// Whether a work and the one before it can both still move, and the gap has a limit.
    pub fn is_limit(&self, task: &Task) -> bool {
        let free_before = task
            .prev
            .is_some_and(|prev| self.tasks[prev].fixed.is_none());
        task.most.is_finite() && free_before
    }

    /// A time by which the best plan is left, if there is one: the longest way through its rules
    /// takes each work and each least gap once at most, after the last of what is settled.
    pub fn horizon(&self) -> f64 {
        if let Some((_, close)) = self.hours.windows().last() {
            // What has begun may go on after the last closing.
            let begun = self.tasks.iter().filter(|task| task.begun);
            let ends = begun.filter_map(|task| Some(task.fixed? + task.takes));
            return ends.fold(close.0, f64::max);
        }
        let settled = self
            .tasks
            .iter()
            .filter_map(|task| Some(task.fixed? + task.takes));
        let begin = settled.fold(self.from, f64::max);
        let slowest = |task: &Task| {
            let rates = self.ageing(task).rates_from(Minutes(self.from));
            rates.fold(f64::INFINITY, f64::min)
        };
        let spans = self.tasks.iter().filter(|task| !task.begun);
        let spans = spans.map(|task| task.takes + task.least / slowest(task));
        begin + spans.sum::<f64>()
    }

    /// The end of the last work.
    pub fn leave(&self, starts: &[f64]) -> f64 {
        let ends = self.tasks.iter().zip(starts);
        ends.map(|(task, start)| start + task.takes)
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Whether a time keeps a limit, but for rounding.
    pub fn within(time: f64, limit: f64) -> bool {
        time <= limit + EPS
    }
}

/// Whether two pieces are the same to a plan, so that their order doesn't matter.
fn alike(a: &DayPiece, b: &DayPiece) -> bool {
    let free = |piece: &DayPiece| piece.works.iter().all(|w| w.settled == Settled::Free);
    let same = |(n, (a, b)): (usize, (&super::Work, &super::Work))| {
        a.takes == b.takes && a.crew == b.crew && (n == 0 || a.gap == b.gap)
    };
    a.works.len() == b.works.len()
        && free(a)
        && free(b)
        && a.ageing == b.ageing
        && a.works.iter().zip(&b.works).enumerate().all(same)
}
