//! The pieces that the list is for: the one at hand, or all of the job.

use crate::app::parts::bench::{Bench, Planned};
use crate::app::parts::choice::{Answer, Choice};
use crate::app::screens::plan::{packs::Sets, shelf};
use crate::coating::{KitItem, Paste, Plan, PlanInput, kit_of_all};
use crate::job::{JobId, PieceId};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// A piece, what its plan is made from, and its plan.
type Member = (Bench, Planned<PlanInput>, Planned<Plan>);

/// A thing in the lists of some pieces: each with the key that it has there.
pub type Places = Vec<(Bench, String)>;

/// What is packed.
#[derive(Clone, PartialEq)]
pub struct Packed {
    /// The things that the plans ask for; their pieces are those of [`Pieces::listed`].
    pub items: Vec<KitItem>,
    /// What to buy for all pieces of the job; of one piece its Plan page says that.
    pub sets: Vec<Sets>,
}

/// The pieces of the job, and which of them the list is for. Cheap to copy.
#[derive(Clone, Copy)]
pub struct Pieces {
    /// The piece whose page this is.
    pub here: Bench,
    all: StoredValue<Vec<Member>>,
    /// Where the piece whose page this is stands among them.
    at: usize,
    chosen: RwSignal<bool>,
    /// How many of them can be planned.
    planned: Memo<usize>,
}

impl Pieces {
    /// The pieces of a job as they are when the page is opened.
    pub fn new(job: JobId, piece: PieceId) -> Self {
        let here = Bench::new(job.clone(), piece.clone());
        let found = here.desk.job_now(&job);
        let ids: Vec<PieceId> = found
            .map(|job| job.pieces.into_iter().map(|piece| piece.id).collect())
            .unwrap_or_default();
        let at = ids.iter().position(|id| *id == piece).unwrap_or_default();
        let member = |id| {
            let bench = Bench::new(job.clone(), id);
            let (input, plan) = bench.planned();
            (bench, input, plan)
        };
        let all = StoredValue::new(ids.into_iter().map(member).collect::<Vec<Member>>());
        let planned = Memo::new(move |_| {
            let can = |(_, input, _): &&Member| input.with(|input| matches!(input, Some(Ok(_))));
            all.with_value(|all| all.iter().filter(can).count())
        });
        Self {
            here,
            all,
            at,
            chosen: RwSignal::new(false),
            planned,
        }
    }

    /// Whether the list is for all pieces of the job.
    pub fn whole(self) -> bool {
        self.chosen.get() && self.planned.get() > 1
    }

    fn members(self) -> Vec<Member> {
        let whole = self.whole();
        self.all.with_value(|all| match whole {
            true => all.clone(),
            false => all.get(self.at).copied().into_iter().collect(),
        })
    }

    /// The pieces that the list is for, planned or not.
    pub fn listed(self) -> Vec<Bench> {
        self.members()
            .into_iter()
            .map(|(bench, ..)| bench)
            .collect()
    }

    /// The list, or why there is none; `None` once the pieces are gone. It changes only when a
    /// plan does: not with a tick.
    pub fn packed(self) -> Memo<Option<Result<Packed, String>>> {
        let stock = shelf::kept();
        let today = self.here.today();
        Memo::new(move |_| {
            let members = self.members();
            let read: Vec<_> = members
                .iter()
                .map(|(_, input, plan)| (input.read(), plan.read()))
                .collect();
            let (mut pieces, mut places, mut missing) = (Vec::new(), Vec::new(), None);
            for (at, (input, plan)) in read.iter().enumerate() {
                match (input.as_ref(), plan.as_ref()) {
                    (Some(Ok(input)), Some(Ok(plan))) => {
                        pieces.push((plan, input));
                        places.push(at);
                    }
                    (_, Some(Err(why))) => missing = Some(why.clone()),
                    _ => {}
                }
            }
            if pieces.is_empty() {
                return missing.map(Err);
            }
            let mut items = kit_of_all(&pieces);
            for at in items.iter_mut().flat_map(|item| &mut item.pieces) {
                *at = places[*at];
            }
            let pastes = match self.whole() {
                true => Paste::of_all(&pieces),
                false => Vec::new(),
            };
            let sets = pastes.iter();
            let sets = sets.filter_map(|paste| Sets::of(paste, &stock, today.get()));
            Some(Ok(Packed {
                sets: sets.collect(),
                items,
            }))
        })
    }

    /// The question which pieces the list is for, where the job has more than one to pack for; and
    /// what is not in it.
    pub fn question(self) -> AnyView {
        let answers = Signal::derive(move || {
            let planned = self.planned.get();
            vec![
                Answer::new("piece", tr("This piece")),
                Answer::new("all", tr("All pieces of this job"))
                    .help(say!("{planned} planned", planned)),
            ]
        });
        let chosen = Signal::derive(move || match self.whole() {
            true => "all".to_owned(),
            false => "piece".to_owned(),
        });
        let ask = move || {
            (self.planned.get() > 1).then(|| {
                view! {
                    <Choice
                        name="pack-for"
                        legend=tr("What do you pack for?")
                        answers
                        chosen
                        choose=move |key: String| self.chosen.set(key == "all")
                    />
                }
            })
        };
        let left_out = move || {
            let members = self.members();
            let left_out = members.iter().filter(|(_, _, plan)| {
                self.whole() && plan.with(|plan| matches!(plan, Some(Err(_))))
            });
            let names: Vec<String> = left_out
                .map(|(bench, ..)| bench.read(|piece| piece.title().to_owned()))
                .collect();
            (!names.is_empty()).then(|| {
                let names = names.join(", ");
                view! {
                    <p id="left-out">{say!("Not planned yet, so not in this list: {names}.", names)}</p>
                }
            })
        };
        view! {
            {ask}
            {left_out}
        }
        .into_any()
    }
}
