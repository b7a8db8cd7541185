//! What each section of a sheet says.

use super::{Body, Planned, Style, fact, ranged};
use crate::casting::CastPlan;
use crate::clock::said;
use crate::coating::{Caution, Paste, Plan, Source, Verdict, cure, kit};
use crate::job::{Job, Measured, Piece};
use crate::quantity::show;
use crate::quantity::{Amount, Grams, Minutes};
use crate::say;
use crate::survey::Footprint;
use crate::words::tr;

pub(super) fn measured(
    piece: &Piece,
    found: &Result<Footprint, String>,
    distances: &[Measured],
    style: &Style,
) -> Body {
    let system = style.system;
    let found = match found {
        Ok(found) => found,
        Err(missing) => return Body::Missing(missing.clone()),
    };
    let mut facts = vec![
        ranged(tr("Footprint"), Amount::AreaRange(found.area), system),
        ranged(
            tr("Perimeter"),
            Amount::LengthRange(found.perimeter),
            system,
        ),
        fact(tr("Camera's tilt"), show::angle_range(&found.tilt)),
    ];
    for (i, measured) in (1..).zip(distances) {
        let name = say!("Distance {i}", i);
        facts.push(ranged(&name, Amount::LengthRange(measured.length), system));
    }
    if let Some(relief) = piece.relief {
        facts.push(fact(
            tr("Highest point"),
            show::length(relief.highest, system),
        ));
        facts.push(fact(tr("Modelling"), relief.kind.name()));
    }
    facts.push(fact(tr("Border"), show::length(piece.border, system)));
    Body::Facts(facts)
}

pub(super) fn coats(piece: &Piece, planned: &Planned, style: &Style) -> Vec<Body> {
    let system = style.system;
    let plan = match planned {
        Ok((_, plan)) => plan,
        Err(missing) => return vec![Body::Missing(missing.clone())],
    };
    let weigh = |mass: Grams| show::weighing(mass, piece.scale_step, system);
    let rows = plan.coats.iter().map(|coat| {
        let batches = match coat.batches.first() {
            Some(batch) => say!(
                "{count} x (A {a} + B {b})",
                count = coat.batches.len(),
                a = weigh(batch.a),
                b = weigh(batch.b)
            ),
            None => String::new(),
        };
        vec![
            format!("{} {}", coat.number, coat.role.name()),
            coat.tool.name().to_owned(),
            show::length(coat.thickness, system),
            show::mass_range(&coat.mass, system),
            batches,
            show::duration(coat.work()),
        ]
    });
    let head = [
        tr("Coat"),
        tr("Tool"),
        tr("Thickness"),
        tr("On the piece"),
        tr("Batches"),
        tr("Work a batch"),
    ];
    let mut facts = vec![
        ranged(tr("Expected need"), Amount::MassRange(plan.total), system),
        fact(tr("Spare"), show::mass(plan.spare, system)),
        fact(tr("Bring"), show::mass(plan.bring, system)),
        fact(tr("Part A"), weigh(plan.bring_a)),
        fact(tr("Part B"), weigh(plan.bring_b)),
    ];
    let paste = Paste::of(plan, &piece.card);
    match style.stock.choose(&paste, style.today) {
        Some(Ok(packs)) => {
            let sets = packs.buy.iter().map(|buy| {
                let size = show::mass(buy.pack.size, system);
                format!("{} × {} ({size})", buy.count, buy.pack.name)
            });
            let sets = match packs.buy.is_empty() {
                true => tr("none: the shelf holds enough").to_owned(),
                false => sets.collect::<Vec<_>>().join(", "),
            };
            facts.push(fact(tr("Sets to buy"), sets));
            let items = style.stock.of(&piece.card);
            let taken = packs.from_shelf.iter();
            let taken = taken.map(|taken| items[taken.item].in_words(taken.count, system));
            let taken = taken.collect::<Vec<_>>().join("; ");
            if !taken.is_empty() {
                facts.push(fact(tr("From the shelf"), taken));
            }
        }
        Some(Err(why)) => facts.push(fact(tr("Sets to buy"), why.to_string())),
        None => {}
    }
    vec![
        Body::Facts(vec![fact(tr("Paste"), piece.card.name.as_str())]),
        Body::Table {
            head: head.map(str::to_owned).to_vec(),
            rows: rows.collect(),
        },
        Body::Facts(facts),
    ]
}

pub(super) fn times(piece: &Piece) -> Body {
    let card = &piece.card;
    let span = |minutes: Minutes| {
        show::duration_range(&cure::at_temperature(minutes, card, piece.temperature))
    };
    let mut facts = vec![
        fact(
            tr("Working time, from the first contact of A and B"),
            span(card.working),
        ),
        fact(tr("To the next coat"), span(card.recoat_from)),
    ];
    if let Some(until) = card.recoat_until {
        facts.push(fact(tr("Latest next coat"), span(until)));
    }
    facts.push(fact(tr("Last coat to peeling"), span(card.demould)));
    Body::Facts(facts)
}

pub(super) fn bag(piece: &Piece, planned: &Planned, style: &Style) -> Body {
    let items = match planned {
        Ok((input, plan)) => kit(plan, input),
        Err(missing) => return Body::Missing(missing.clone()),
    };
    let tick = |key: &String| {
        if piece.ticked.contains(key) {
            tr("packed")
        } else {
            ""
        }
    };
    let mut rows: Vec<Vec<String>> = items
        .iter()
        .map(|item| {
            vec![
                tick(&item.key).into(),
                item.what.clone(),
                item.amount.show(style.system),
            ]
        })
        .collect();
    let own = piece.own_items.iter();
    rows.extend(own.map(|item| vec![tick(&item.key).into(), item.what.clone(), String::new()]));
    Body::Table {
        head: ["", tr("What"), tr("How much")].map(str::to_owned).to_vec(),
        rows,
    }
}

pub(super) fn log(job: &Job, piece: &Piece, planned: &Planned, style: &Style) -> Vec<Body> {
    let happened = said(&piece.coat_log, &piece.notes, style.system);
    if happened.is_empty() {
        return vec![Body::Missing(tr("No coat has begun yet.").into())];
    }
    let rows = happened
        .into_iter()
        .map(|(at, what)| vec![(style.clock)(at), what]);
    let mut body = vec![Body::Table {
        head: [tr("When"), tr("What")].map(str::to_owned).to_vec(),
        rows: rows.collect(),
    }];
    if let Ok((_, plan)) = planned {
        body.push(Body::Lines(piece.took(plan)));
        let progress = piece.progress_of(plan, &style.memory.tempo(&job.id, piece), style.now);
        body.push(Body::Facts(vec![fact(tr("Now"), progress.step.name())]));
    }
    body
}

pub(super) fn casts(piece: &Piece, cast: &Result<CastPlan, String>, style: &Style) -> Vec<Body> {
    let system = style.system;
    let cast = match cast {
        Ok(cast) => cast,
        Err(missing) => return vec![Body::Missing(missing.clone())],
    };
    let medium = piece
        .medium
        .as_ref()
        .map_or("", |medium| medium.name.as_str());
    let mix = |parts: &[(String, Grams)]| {
        let parts = parts.iter().map(|(name, mass)| {
            format!("{name} {}", show::weighing(*mass, piece.scale_step, system))
        });
        parts.collect::<Vec<_>>().join(", ")
    };
    let mut facts = vec![
        fact(tr("Medium"), medium),
        fact(tr("Copies"), piece.copies.to_string()),
        fact(tr("Backing"), show::length(piece.backing, system)),
        ranged(tr("One copy"), Amount::VolumeRange(cast.volume), system),
        ranged(
            tr("One copy weighs"),
            Amount::MassRange(cast.mass_each),
            system,
        ),
        fact(tr("Mix for one"), mix(&cast.parts)),
        fact(tr("Mix for all"), mix(&cast.parts_total)),
        fact(tr("Sets in"), show::duration(cast.set_time)),
    ];
    if let Some(change) = cast.size_change {
        facts.push(fact(
            tr("Length beside the original"),
            format!("{:+.2} %", change * 100.0),
        ));
    }
    vec![
        Body::Facts(facts),
        Body::Lines(vec![
            cast.heat.sentence(system),
            cast.food.sentence().to_owned(),
        ]),
    ]
}

/// Each number of the card with its mark.
pub(super) fn card(piece: &Piece, style: &Style) -> Body {
    let (card, system) = (&piece.card, style.system);
    let marks = &card.marks;
    let ratio = |(a, b)| format!("{} : {}", show::number(a, 3), show::number(b, 3));
    let mut rows = Vec::new();
    let mut row = |what: &str, value: String, mark: &Source| {
        rows.push(vec![what.to_owned(), value, mark.to_string()]);
    };
    row(
        tr("A to B by weight"),
        ratio(card.ratio_by_mass),
        &marks.ratio,
    );
    if let Some(by_volume) = card.ratio_by_volume {
        row(
            tr("A to B by volume"),
            ratio(by_volume),
            &marks.ratio_by_volume,
        );
    }
    for (density, what, mark) in [
        (card.density_a, tr("Density of A"), &marks.density_a),
        (card.density_b, tr("Density of B"), &marks.density_b),
    ] {
        if let Some(density) = density {
            row(what, Amount::Density(density).show(system), mark);
        }
    }
    row(
        tr("Density of the mix"),
        Amount::Density(card.density).show(system),
        &marks.density,
    );
    row(
        tr("Working time"),
        show::duration(card.working),
        &marks.working,
    );
    row(
        tr("Next coat from"),
        show::duration(card.recoat_from),
        &marks.recoat,
    );
    let until = card
        .recoat_until
        .map_or(tr("no limit").into(), show::duration);
    row(tr("Next coat until"), until, &marks.recoat);
    row(
        tr("Peel after"),
        show::duration(card.demould),
        &marks.demould,
    );
    row(
        tr("These times hold at"),
        show::temperature(card.reference, system),
        &marks.reference,
    );
    match card.activation {
        Some(energy) => row(
            tr("Activation energy"),
            format!("{} kJ/mol", show::number(energy.0, 1)),
            &marks.activation,
        ),
        None => row(
            tr("As fast ten degrees Celsius warmer"),
            say!("{q10} times", q10 = show::number(card.q10, 2)),
            &marks.q10,
        ),
    }
    if let Some(limit) = card.service_max {
        row(
            tr("The skin stands"),
            show::temperature(limit, system),
            &marks.service_max,
        );
    }
    if let Some(share) = card.elongation {
        let percent = show::number(share * 100.0, 0);
        row(
            tr("Stretches before it breaks"),
            format!("{percent} %"),
            &marks.elongation,
        );
    }
    if let Some(shore) = card.hardness {
        let text = say!("{shore} Shore A", shore = show::number(shore, 1));
        row(tr("Hardness"), text, &marks.hardness);
    }
    Body::Table {
        head: [tr("Number"), tr("Value"), tr("Where from")]
            .map(str::to_owned)
            .to_vec(),
        rows,
    }
}

/// What is to be minded of the surface, in a word each: what to do about it stands in the app, and
/// on paper there is room for one page only.
pub(super) fn fitness(piece: &Piece) -> Body {
    let tested = piece.patch_test.as_ref().and_then(|test| test.result);
    let tested = tested.map(|result| say!("Patch test: {name}.", name = result.name()));
    let checks = piece.ground().checks();
    let mind = checks.iter().filter(|check| check.verdict != Verdict::Fine);
    let mind = mind.map(|check| {
        format!(
            "{} ({}).",
            check.what.trim_end_matches('.'),
            check.verdict.name()
        )
    });
    let lines: Vec<String> = tested.into_iter().chain(mind).collect();
    Body::Lines(match lines.is_empty() {
        true => vec![tr("Nothing to mind.").to_owned()],
        false => lines,
    })
}

pub(super) fn cautions(plan: Option<&Plan>, cast: Option<&CastPlan>) -> Vec<String> {
    let of_plan = plan.into_iter().flat_map(|plan| &plan.cautions);
    let of_cast = cast.into_iter().flat_map(|cast| &cast.cautions);
    let mut lines: Vec<String> = Vec::new();
    for Caution { text, advice, .. } in of_plan.chain(of_cast) {
        let line = format!("{text} {advice}");
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines.push(
        tr("This sheet is an aid, no promise: the paste's own sheet, local rules, conservators and \
         licensed trades come first.")
            .into(),
    );
    lines
}
