"""The calendar files of `desk calendar` say to another program what they were asked to say.

Source: the reader of PyPI's icalendar, and RFC 5545 for what it does not look at (3.1 lines and
their folding, 3.6.6 alarms, 3.8.7.4 SEQUENCE). Random plans with names and texts in several
scripts, each changed twice (fixed seed). The alarm's trigger as in the RFC's examples of 3.6.6:
relative to the start where nothing else is said.
"""

import random
from datetime import datetime, timedelta, timezone

from icalendar import Calendar

from desk import Verdict, ask

verdict = Verdict()
rng = random.Random(67)
START = datetime(2027, 3, 28, 0, 30, tzinfo=timezone.utc)  # the night in which Europe's clocks change
SCRIPTS = [
    "Rosette, left; \"north\" wall\\door",
    "Konsole für Stuckgesims äöüß €",
    "玄関の飾り（左）" * 6,
    "розетка над дверью " * 5,
    "🏛️" * 30,
    "x" * 300,
    "",
    "two\nlines\r\nand a third\rand a fourth\tafter a tab",
    "N\\n is no new line, nor is \\, or \\;",
]
TITLES = {
    "begin": "begin coat {}",
    "touch": "touch coat {}",
    "latest": "latest time for coat {}",
    "peel": "peel the skin",
    "patch": "look at the patch",
}


def written(moment):
    return moment.isoformat().replace("+00:00", "Z")


def step(piece, call, coat):
    event = {"piece": f"piece-{piece}", "name": SCRIPTS[piece % len(SCRIPTS)], "call": call}
    if call in ("begin", "touch", "latest"):
        event["coat"] = coat
    event["at"] = written(START + timedelta(seconds=rng.randrange(60, 200_000)))
    event["more"] = rng.choice(SCRIPTS)
    return event


def drawn():
    pieces = rng.sample(range(20), rng.randrange(1, 5))
    steps = [(p, c, n) for p in pieces for c in ("begin", "touch") for n in (1, 2, 3)]
    steps += [(p, c, 0) for p in pieces for c in ("peel", "patch")]
    return {(p, c, n): step(p, c, n) for p, c, n in rng.sample(steps, rng.randrange(1, len(steps)))}


def changed(plan):
    """Some steps move, some vanish, some come, some stay."""
    new = dict(plan)
    for key in list(plan):
        chance = rng.random()
        if chance < 0.3 and len(new) > 1:
            del new[key]
        elif chance < 0.6:
            new[key] = dict(plan[key], at=step(*key)["at"])
    extra = drawn()
    new.update({key: event for key, event in extra.items() if rng.random() < 0.2})
    return new


def plain(text):
    """The text without what no text of a calendar can hold."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(c for c in text if c in "\n\t" or not (ord(c) < 32 or 127 <= ord(c) < 160))


def same_file(text):
    """RFC 5545, 3.1: lines of at most 75 octets, each whole in UTF-8, ended by CRLF alone."""
    octets = text.encode("utf-8")
    if not octets.endswith(b"\r\n") or octets.replace(b"\r\n", b"").count(b"\n"):
        return False
    lines = octets.split(b"\r\n")[:-1]
    for line in lines:
        line.decode("utf-8")  # a cut character would stop this script
    return all(0 < len(line) <= 75 for line in lines) and b"\r" not in octets.replace(b"\r\n", b"")


histories = []
for _ in range(120):
    first = drawn()
    second = changed(first)
    histories.append([first, second, changed(second)])
NOW = [START, START + timedelta(seconds=30), START + timedelta(hours=20)]
requests = [
    {"plans": [{"now": written(now), "events": list(plan.values())} for now, plan in zip(NOW, plans)]}
    for plans in histories
]

files = kept = moved = cancelled = 0
lines = times = alarms = texts = names = sequences = True
for plans, answer in zip(histories, ask("calendar", requests)):
    before, sequence_before, said_before = {}, -1, {}
    for now, plan, text in zip(NOW, plans, answer["ics"]):
        files += 1
        lines &= same_file(text)
        calendar = Calendar.from_ical(text)
        lines &= not calendar.errors and str(calendar["VERSION"]) == "2.0" and "PRODID" in calendar
        lines &= "METHOD" not in calendar
        events = {str(event["UID"]): event for event in calendar.walk("VEVENT")}
        names &= len(events) == text.count("BEGIN:VEVENT")
        wanted = {}
        for (piece, call, coat), asked in plan.items():
            title = f"{asked['name']}: {TITLES[call].format(coat)}"
            found = [e for e in events.values() if e["STATUS"] == "CONFIRMED" and e["SUMMARY"] == plain(title)
                     and e["UID"].startswith(f"piece-{piece}-")]
            names &= len(found) == 1
            if len(found) != 1:
                continue
            event = found[0]
            at = datetime.fromisoformat(asked["at"].replace("Z", "+00:00"))
            wanted[str(event["UID"])] = at
            times &= event.decoded("DTSTART") == at and b"Z" in event["DTSTART"].to_ical()
            times &= timedelta(0) < event.decoded("DTEND") - at <= timedelta(minutes=15)
            times &= event.decoded("DTSTAMP") == now
            first_line, *more = str(event["DESCRIPTION"]).split("\n", 1)
            texts &= len(first_line) > 20 and "".join(more) == plain(asked["more"]).strip()
            inside = event.walk("VALARM")
            alarms &= len(inside) == 1 and inside[0]["ACTION"] == "DISPLAY"
            trigger = inside[0]["TRIGGER"]
            alarms &= trigger.dt == timedelta(0) and trigger.params.get("RELATED", "START") == "START"
            alarms &= str(inside[0]["DESCRIPTION"]) == plain(title)
        # What vanished and still lies ahead is cancelled under its name, and does not ring.
        gone = {uid for uid, at in before.items() if uid not in wanted and at > now}
        dropped = {uid for uid, event in events.items() if event["STATUS"] == "CANCELLED"}
        names &= dropped == gone and set(events) == set(wanted) | gone
        alarms &= not any(events[uid].walk("VALARM") for uid in dropped)
        found = {int(event["SEQUENCE"]) for event in events.values()}
        # What rang and is planned no more is left out, which is no change.
        said = {uid: [v for k, v in event.property_items() if k not in ("DTSTAMP", "SEQUENCE")] for uid, event in events.items()}
        same = said == {uid: said_before[uid] for uid in said_before if uid in wanted or before[uid] > now}
        sequence = found.pop() if len(found) == 1 else -1
        sequences &= sequence == sequence_before if same else sequence > sequence_before
        sequence_before, said_before = sequence, said
        kept += len(set(wanted) & set(before))
        moved += sum(before.get(uid, at) != at for uid, at in wanted.items())
        cancelled += len(dropped)
        before = {**{uid: before[uid] for uid in gone}, **wanted}

verdict.hold(lines, f"{files} files: lines of at most 75 octets, ended by CRLF, no character cut; read without errors; no METHOD")
verdict.hold(times, "every event starts at its moment, in Coordinated Universal Time, lasts minutes and bears the time of the file")
verdict.hold(texts, "every description comes back letter by letter")
verdict.hold(alarms, "every event has one DISPLAY alarm at its start, cancelled ones have none")
verdict.hold(
    names and min(kept, moved, cancelled) > 100,
    f"after a change the same step has the same UID ({kept} kept, {moved} of them moved, {cancelled} cancelled)",
)
verdict.hold(sequences, "SEQUENCE is one in a file, higher after each change and the same without one")

again = histories[0][0]
same = {"plans": [{"now": written(START), "events": list(again.values())}] * 2}
first, second = ask("calendar", same)["ics"]
verdict.hold(first == second, "a plan that did not change gives the same file")
verdict.end()
