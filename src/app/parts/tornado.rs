//! What makes the expected need unsure, largest first: for each input a bar about the need, so that
//! all of them together look like a tornado. Each opens to what would make it shorter.

use crate::app::parts::explain::opened;
use crate::app::parts::shown::Shown;
use crate::coating::{Plan, Uncertainty};
use crate::quantity::Grams;
use crate::quantity::show::{self, System};
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

/// As many inputs are shown; what the others do together is said in a line.
const MOST: usize = 8;

/// The tornado of a plan.
pub fn tornado(plan: &Plan, system: System) -> AnyView {
    let Some(worst) = plan.uncertainties.first() else {
        return ().into_any();
    };
    let shown = plan.uncertainties.len().min(MOST);
    let (largest, others) = plan.uncertainties.split_at(shown);
    let lines = largest.iter().map(|line| one(plan, line, worst.sd, system));
    let rest = (!others.is_empty()).then(|| {
        let together = others.iter().fold(0.0, |sum, line| line.sd.0.hypot(sum));
        say!(
            "{others} others together: {together}.",
            others = others.len(),
            together = more_or_less(Grams(together), system)
        )
    });
    let (value, reach) = (plan.total.value, worst.sd);
    view! {
        <figure class="tornado">
            <svg
                class="drawing"
                viewBox="0 0 340 34"
                role="img"
                aria-label=words(plan, largest, system)
            >
                <text x="1" y="18">
                    {show::mass(value - reach, system)}
                </text>
                <text x="170" y="18" text-anchor="middle">
                    {show::mass(value, system)}
                </text>
                <text x="339" y="18" text-anchor="end">
                    {show::mass(value + reach, system)}
                </text>
                <path d="M1 25v8M170 25v8M339 25v8M1 29H339" />
            </svg>
            <ol class="list">{lines.shown()}</ol>
            <p class="soft">
                {rest} {tr(" Each bar is one standard deviation: what the input does to the need by itself.")}
            </p>
        </figure>
    }
    .into_any()
}

fn more_or_less(mass: Grams, system: System) -> String {
    format!("± {}", show::mass(mass, system))
}

/// The tornado in words.
fn words(plan: &Plan, largest: &[Uncertainty], system: System) -> String {
    let each: Vec<String> = largest
        .iter()
        .map(|line| {
            say!(
                "{what} by {sd}",
                what = line.what,
                sd = show::mass(line.sd, system)
            )
        })
        .collect();
    say!(
        "What moves the expected need of {total} up or down, largest first: {each}.",
        total = show::mass(plan.total.value, system),
        each = each.join("; ")
    )
}

/// One input: its name, what it does, its bar; it opens to how it is known better, and how it came about.
fn one(plan: &Plan, line: &Uncertainty, worst: Grams, system: System) -> AnyView {
    let half = 100.0 * (line.sd / worst);
    view! {
        <li>
            <details class="explain">
                <summary>
                    <span class="what">{line.what.clone()}</span>
                    <span class="number">{more_or_less(line.sd, system)}</span>
                    <svg
                        class="drawing bar-about"
                        viewBox="-100 0 200 12"
                        preserveAspectRatio="none"
                        aria-hidden="true"
                    >
                        <rect
                            class="tone"
                            x=format!("{:.1}", -half)
                            y="1"
                            width=format!("{:.1}", 2.0 * half)
                            height="10"
                        />
                        <path d="M0 -8V20" />
                    </svg>
                </summary>
                <p>{line.advice.clone()}</p>
                {opened(&plan.why_unsure(line), system)}
            </details>
        </li>
    }
    .into_any()
}
