//! What the plan asks for: the relief, the border, each coat's thickness, and the site.

use crate::app::parts::bench::Bench;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::drawings;
use crate::app::parts::field::Field;
use crate::app::parts::slider::{Reach, Slider};
use crate::coating::{CoatRole, Relief, ReliefKind};
use crate::coating::{check_border, check_highest, check_thickness};
use crate::job::Piece;
use crate::quantity::show::{self, System};
use crate::quantity::{Grams, Millimetres, parse};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

fn key(kind: ReliefKind) -> &'static str {
    match kind {
        ReliefKind::Low => "low",
        ReliefKind::Middle => "middle",
        ReliefKind::High => "high",
    }
}

/// Kind of relief, highest point and border. Kind and height are stored once both are known.
#[component]
pub fn ReliefInputs(bench: Bench) -> impl IntoView {
    let stored = move || bench.piece.with(|p| p.as_ref().and_then(|p| p.relief));
    let kind_tapped = RwSignal::new(None::<ReliefKind>);
    let height_typed = RwSignal::new(None::<Millimetres>);
    // What is stored counts again once it changes.
    let settled = Memo::new(move |_| stored());
    Effect::new(move |_| {
        settled.track();
        kind_tapped.set(None);
        height_typed.set(None);
    });
    let kind = move || kind_tapped.get().or(stored().map(|relief| relief.kind));
    let height = move || height_typed.get().or(stored().map(|relief| relief.highest));
    let settle = move || {
        if let (Some(kind), Some(highest)) = (kind(), height()) {
            bench.change(tr("Relief changed"), move |piece| {
                piece.relief = Some(Relief { kind, highest });
            });
        }
    };
    let answers = vec![
        Answer::new("low", tr("Low"))
            .drawn(&drawings::RELIEF_LOW)
            .help(tr("nearly flat in front")),
        Answer::new("middle", tr("Middle"))
            .drawn(&drawings::RELIEF_MIDDLE)
            .help(tr("rounded forms")),
        Answer::new("high", tr("High"))
            .drawn(&drawings::RELIEF_HIGH)
            .help(tr("turns back to the wall")),
    ];
    let choose = move |chosen: String| {
        kind_tapped.set(
            ReliefKind::ALL
                .into_iter()
                .find(|kind| key(*kind) == chosen),
        );
        settle();
    };
    let highest = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        check_highest(length).map_err(|e| e.to_string())?;
        height_typed.set(Some(length));
        settle();
        Ok(())
    };
    let border = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        check_border(length).map_err(|e| e.to_string())?;
        bench.change(tr("Border changed"), move |piece| piece.border = length);
        Ok(())
    };
    let shown = move |length: Option<Millimetres>| {
        length.map_or(String::new(), |length| show::length(length, bench.system()))
    };
    let mapped = Memo::new(move |_| bench.read(|piece| piece.relief_record.tells_heights()));
    let way = move || match mapped.get() {
        true => tr(
            "A height map has taken the place of the kind and the highest point: surface and paste follow from what was read on it.",
        ),
        false => tr("Surer than the kind of relief: a few heights read on the piece."),
    };
    view! {
        <h2>{tr("Relief")}</h2>
        <p id="relief-by" class=move || if mapped.get() { "note" } else { "hint" }>
            {way}
        </p>
        <p>
            <a id="to-heights" class="button" href=bench.heights()>
                {move || if mapped.get() { tr("See the heights") } else { tr("Read heights") }}
            </a>
        </p>
        <Choice
            name="relief"
            legend=tr("How strongly is it modelled?")
            answers=Signal::stored(answers)
            chosen=Signal::derive(move || kind().map_or("", key).to_owned())
            choose
        />
        <div class="pair">
            <Field
                id="highest"
                label=tr("Highest point")
                hint=tr("Over the wall, with a straight edge and a rule.")
                keyboard=bench.length_keyboard()
                value=Signal::derive(move || shown(height()))
                read=highest
            />
            <Field
                id="border"
                label=tr("Border")
                hint=tr("Flat rim of skin around it; one inch is usual.")
                keyboard=bench.length_keyboard()
                value=Signal::derive(move || shown(bench.read(|p| Some(p.border))))
                read=border
            />
        </div>
    }
}

/// How sure it shall be that the paste suffices.
#[component]
pub fn Confidence(bench: Bench) -> impl IntoView {
    let answers = CONFIDENCES.map(|percent| Answer::new(percent.to_string(), percent.to_string()));
    let choose = move |chosen: String| {
        let percent = CONFIDENCES
            .into_iter()
            .find(|one| one.to_string() == chosen);
        if let Some(percent) = percent {
            let share = f64::from(percent) / 100.0;
            bench.change(tr("Confidence changed"), move |piece| {
                piece.confidence = share;
            });
        }
    };
    let chosen = move || bench.read(|piece| show::number(piece.confidence * 100.0, 1));
    view! {
        <div class="narrow-choice">
            <Choice
                name="confidence"
                legend=tr("Enough in so many of 100 such pieces")
                answers=Signal::stored(answers.to_vec())
                chosen=Signal::derive(chosen)
                choose
            />
        </div>
    }
}

/// What is offered, in so many of 100 pieces; [`check_confidence`](crate::coating::check_confidence)
/// takes them all.
const CONFIDENCES: [u32; 4] = [80, 90, 95, 99];

/// The thickness of one coat, beside the coat's name.
#[component]
pub fn Thickness(bench: Bench, index: usize) -> impl IntoView {
    let coat = move || bench.read(|p| p.coats.get(index).cloned());
    let label = Signal::derive(move || {
        let Some(coat) = coat() else {
            return String::new();
        };
        let name = match coat.role {
            CoatRole::Skim => tr("Skim coat"),
            CoatRole::Build => tr("Build coat"),
            CoatRole::Final => tr("Final coat"),
        };
        say!(
            "{index}. {name}, with the {name_2}",
            index = index + 1,
            name,
            name_2 = coat.tool.name()
        )
    });
    let hint = Signal::derive(move || {
        coat().map_or(String::new(), |coat| {
            match coat.role {
                CoatRole::Skim => tr("Thin, worked into every corner."),
                CoatRole::Build => tr("Two to four times the skim coat; more on the high spots."),
                CoatRole::Final => tr("Smoothed."),
            }
            .to_owned()
        })
    });
    let set = move |piece: &mut Piece, length| {
        if let Some(coat) = piece.coats.get_mut(index) {
            coat.thickness = length;
        }
    };
    let store = move |length| {
        bench.change(tr("Thickness changed"), move |piece| set(piece, length));
    };
    let read = move |text: &str| {
        let length = parse::length(text, bench.system()).map_err(|e| e.to_string())?;
        check_thickness(index + 1, length).map_err(|e| e.to_string())?;
        store(length);
        Ok(())
    };
    let value = Signal::derive(move || {
        coat().map_or(String::new(), |coat| {
            show::length(coat.thickness, bench.system())
        })
    });
    view! {
        <Field
            id=format!("thickness-{}", index + 1)
            label
            hint
            keyboard=bench.length_keyboard()
            value
            read
        />
        <Slider
            id=format!("slide-{}", index + 1)
            label
            reach=THICKNESSES
            value=Signal::derive(move || coat().map_or(0.0, |coat| coat.thickness.0))
            words=value
            look=Callback::new(move |mm| bench.look(|piece| set(piece, Millimetres(mm))))
            store=Callback::new(move |mm| store(Millimetres(mm)))
        />
    }
}

/// What a slider offers for a coat, in millimetres.
const THICKNESSES: Reach = Reach {
    from: 0.2,
    to: 8.0,
    step: 0.1,
};

/// Temperature of the site, and what the scale reads to.
#[component]
pub fn Site(bench: Bench) -> impl IntoView {
    let answers = Signal::derive(move || {
        steps(bench.system())
            .iter()
            .map(|(grams, word)| Answer::new(step_key(Grams(*grams)), *word))
            .collect::<Vec<_>>()
    });
    let choose = move |chosen: String| {
        let step = steps(bench.system())
            .iter()
            .map(|(grams, _)| Grams(*grams))
            .find(|step| step_key(*step) == chosen);
        if let Some(step) = step {
            bench.change(tr("Scale changed"), move |piece| piece.scale_step = step);
        }
    };
    view! {
        <h2>{tr("Site and scale")}</h2>
        <p id="temperature">
            {tr("Planned for ")}
            <b>
                {move || bench.read(|p| Some(show::temperature(p.temperature, bench.system())))}
            </b>
            {tr(" there: the warmer, the faster a paste sets.")}
        </p>
        <p>
            <a class="button" href=bench.details()>
                {tr("Change the temperature")}
            </a>
        </p>
        <Choice
            name="scale-step"
            legend=tr("Your scale reads to")
            answers
            chosen=Signal::derive(move || bench.read(|p| step_key(p.scale_step)))
            choose
        />
    }
}

/// The steps of common scales, in grams, with their words.
fn steps(system: System) -> &'static [(f64, &'static str)] {
    const OUNCE: f64 = crate::quantity::factor::GRAMS_PER_OUNCE;
    match system {
        System::Metric => &[(0.1, "0.1 g"), (1.0, "1 g"), (5.0, "5 g")],
        System::UsCustomary => &[
            (OUNCE / 100.0, "0.01 oz"),
            (OUNCE / 20.0, "0.05 oz"),
            (OUNCE / 8.0, "1/8 oz"),
            (1.0, "1 g"),
        ],
    }
}

/// A step's key in the form: its thousandths of a gram.
fn step_key(step: Grams) -> String {
    format!("{:.0}", step.0 * 1000.0)
}
