//! The stiff shell over the skin: what it is built of, and what that weighs.

use super::Planned;
use super::numbers::reason;
use crate::app::parts::bench::Bench;
use crate::app::parts::choice::{Answer, Choice};
use crate::app::parts::explain::{explain, explain_as};
use crate::coating::ShellKind;
use crate::quantity::show;
use crate::say;
use crate::words::tr;
use leptos::prelude::*;

fn key(kind: ShellKind) -> &'static str {
    match kind {
        ShellKind::PlasterBandage => "bandage",
        ShellKind::Gypsum => "gypsum",
        ShellKind::Laminate => "laminate",
    }
}

/// The kind of shell, and its numbers.
#[component]
pub fn Shell(bench: Bench, plan: Planned) -> impl IntoView {
    let answers = vec![
        Answer::new("bandage", tr("Plaster bandage")).help(tr("light, sets in minutes")),
        Answer::new("gypsum", tr("Gypsum plaster with scrim")).help(tr("stiff and heavy")),
        Answer::new("laminate", tr("Resin and glass mat")).help(tr("thin and stiff; fumes")),
    ];
    let choose = move |chosen: String| {
        if let Some(kind) = ShellKind::ALL.into_iter().find(|kind| key(*kind) == chosen) {
            bench.change(tr("Shell chosen"), move |piece| piece.shell = kind);
        }
    };
    let numbers = move || {
        let system = bench.system();
        plan.with(|plan| {
            let plan = plan.as_ref()?.as_ref().ok()?;
            let shell = &plan.shell;
            let water = (shell.water.0 > 0.0).then(|| {
                say!(
                    " Water besides: {water}.",
                    water = show::volume(shell.water, system)
                )
            });
            let carried = reason(plan, tr("Shell to carry")).map(|why| {
                let number = show::mass(shell.carried(), system).into_any();
                explain_as(why, tr("To carry"), number, system)
            });
            let said = say!(
                "Covers {area}, {thickness} thick.",
                area = show::area(shell.area, system),
                thickness = show::length(shell.thickness, system)
            );
            Some(view! {
                <div id="shell-numbers">
                    {carried} {reason(plan, tr("Finished shell")).map(|why| explain(why, system))}
                    <p class="soft">
                        {said} {water} " "
                        <span class="source">{shell.source.to_string()}</span>
                    </p>
                </div>
            })
        })
    };
    view! {
        <h2>{tr("Shell")}</h2>
        <Choice
            name="shell"
            legend=tr("What is the stiff shell built of?")
            answers=Signal::stored(answers)
            chosen=Signal::derive(move || bench.read(|piece| key(piece.shell).to_owned()))
            lines=true
            choose
        />
        {numbers}
    }
}
