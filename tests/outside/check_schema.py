"""What the desk accepts and answers is what its JSON Schemas say.

Source: the validator of PyPI's jsonschema (draft 2020-12), and the schemas and worked examples in
tests/desk/. Broken requests must be refused by the schema and by the desk, which names the field.
"""

import json
import pathlib

import jsonschema

from desk import Verdict, ask, changed

FOLDER = pathlib.Path(__file__).resolve().parent.parent / "desk"


def load(name):
    return json.loads((FOLDER / name).read_text(encoding="utf-8"))


def validator(name):
    schema = load(name)
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


verdict = Verdict()
for verb in ["survey", "homography", "lens", "packs", "coating", "pace", "relief", "calendar", "clock", "casting"]:
    requests, answers = load(f"{verb}.request.json"), load(f"{verb}.answer.json")
    wanted, given = validator(f"{verb}.request.schema.json"), validator(f"{verb}.answer.schema.json")
    verdict.hold(wanted.is_valid(requests), f"{verb}: the example request is valid")
    verdict.hold(given.is_valid(answers), f"{verb}: the example answer is valid")
    verdict.hold(given.is_valid(ask(verb, requests)), f"{verb}: the desk's own answer is valid")



def refused(verb, good, broken):
    """Each change of a sound request is refused by the schema and by the desk, at its field."""
    wanted, given = validator(f"{verb}.request.schema.json"), validator(f"{verb}.answer.schema.json")
    requests = [changed(good, path, value) for path, value, _ in broken]
    answers = ask(verb, requests)
    verdict.hold(wanted.is_valid(good), f"{verb}: the sound request is valid")
    verdict.hold(given.is_valid(answers), f"{verb}: the answer to broken requests is valid")
    for request, answer, (_, _, field) in zip(requests, answers, broken):
        said = answer.get("error", "no error")
        both = not wanted.is_valid(request) and said.startswith(f"{field}:")
        verdict.hold(both, f"{verb}: refused by both: {said}")


refused("lens", load("lens.request.json")[0], [
    (["image_size_px"], ..., "image_size_px"),
    (["grid"], [5], "grid"),
    (["grid", 0], 2, "grid"),
    (["square_mm"], 0, "square_mm"),
    (["views"], ..., "views"),
    (["views"], [], "views"),
    (["views", 1], 3, "views[1]"),
    (["views", 1], {}, "views[1].photo"),
    (["views", 2, "corners_px", 4], [1], "views[2].corners_px[4]"),
    (["views", 2, "corners_px"], [[1, 1]], "views[2].corners_px"),
])
refused("packs", load("packs.request.json")[1], [
    (["need_g"], ..., "need_g"),
    (["need_g"], -1, "need_g"),
    (["need_g"], 1e9, "need_g"),
    (["need_g"], "1234", "need_g"),
    (["packs"], ..., "packs"),
    (["packs", 1], 900, "packs[1]"),
    (["packs", 1, "name"], ..., "packs[1].name"),
    (["packs", 1, "name"], " ", "packs[1].name"),
    (["packs", 1, "size_g"], ..., "packs[1].size_g"),
    (["packs", 1, "size_g"], 0, "packs[1].size_g"),
    (["packs", 1, "size_g"], 1e9, "packs[1].size_g"),
    (["packs", 0, "price"], -0.5, "packs[0].price"),
    (["packs", 0, "price"], "24", "packs[0].price"),
    (["packs", 0, "owned"], 1.5, "packs[0].owned"),
    (["packs", 0, "owned"], -1, "packs[0].owned"),
    (["packs", 0, "expires"], "3 May", "packs[0].expires"),
    (["shelf"], "last", "shelf"),
    (["today"], "2026", "today"),
])
refused("relief", load("relief.request.json")[0], [
    (["photos"], ..., "photos"),
    (["photos", 0, "evidence"], ..., "photos[0].evidence"),
    (["photos", 0, "evidence", 0, "px"], [1], "photos[0].evidence[0].px"),
    (["photos", 0, "image_size_px"], ..., "photos[0].image_size_px"),
    (["outline_px"], ..., "outline_px"),
    (["outline_of"], -1, "outline_of"),
    (["grid_mm"], 0, "grid_mm"),
    (["max_height_mm"], 0, "max_height_mm"),
    (["readings", 1, "px"], ..., "readings[1].px"),
    (["readings", 1, "height_mm"], -3, "readings[1].height_mm"),
    (["readings", 1, "sd_mm"], "fine", "readings[1].sd_mm"),
    (["reference_height_sd_mm"], -1, "reference_height_sd_mm"),
])
refused("pace", load("pace.request.json")[1], [
    (["card"], ..., "card"),
    (["card", "recoat_from_min"], ..., "card.recoat_from_min"),
    (["card", "recoat_from_min"], 0, "card.recoat_from_min"),
    (["card", "demould_min"], -1, "card.demould_min"),
    (["card", "reference_c"], "23", "card.reference_c"),
    (["card", "q10"], 0, "card.q10"),
    (["temperature_c"], "cold", "temperature_c"),
    (["touches"], {}, "touches"),
    (["touches", 0, "age_min"], -1, "touches[0].age_min"),
    (["touches", 0, "of"], "wall", "touches[0].of"),
    (["touches", 0, "feel"], ..., "touches[0].feel"),
    (["touches", 0, "feel"], "sticky", "touches[0].feel"),
    (["earlier", 0, "touches", 0], 5, "earlier[0].touches[0]"),
])
refused("calendar", load("calendar.request.json"), [
    (["plans"], ..., "plans"),
    (["plans", 0], "now", "plans[0]"),
    (["plans", 0, "now"], "noon", "plans[0].now"),
    (["plans", 1, "events"], ..., "plans[1].events"),
    (["plans", 1, "events", 0, "at"], ..., "plans[1].events[0].at"),
    (["plans", 1, "events", 0, "call"], "sing", "plans[1].events[0].call"),
    (["plans", 1, "events", 0, "piece"], 7, "plans[1].events[0].piece"),
    (["plans", 1, "events", 0, "name"], ..., "plans[1].events[0].name"),
    (["plans", 0, "events", 0, "coat"], ..., "plans[0].events[0].coat"),
    (["plans", 0, "events", 0, "coat"], 1.5, "plans[0].events[0].coat"),
])
refused("clock", load("clock.request.json")[2], [
    (["cards"], ..., "cards"),
    (["cards", "paste"], 5, "cards.paste"),
    (["cards", "paste", "recoat_from_min"], ..., "cards.paste.recoat_from_min"),
    (["cards", "paste", "recoat_from_min"], -1, "cards.paste.recoat_from_min"),
    (["cards", "paste", "demould_min"], "2 h", "cards.paste.demould_min"),
    (["cards", "paste", "q10"], 0, "cards.paste.q10"),
    (["cards", "paste", "activation_kj_mol"], 50000, "cards.paste.activation_kj_mol"),
    (["cards", "paste", "reference_c"], 296, "cards.paste.reference_c"),
    (["temperature_c"], "cold", "temperature_c"),
    (["temperature_c", 0], [0], "temperature_c[0]"),
    (["temperature_c", 0, 1], 200, "temperature_c[0]"),
    (["hands"], 0, "hands"),
    (["hands"], 1.5, "hands"),
    (["hours", 0], [480], "hours[0]"),
    (["hours"], [], "hours"),
    (["pieces"], ..., "pieces"),
    (["pieces"], [], "pieces"),
    (["pieces", 0, "name"], " ", "pieces[0].name"),
    (["pieces", 0, "coats_min"], [], "pieces[0].coats_min"),
    (["pieces", 0, "coats_min", 1], -5, "pieces[0].coats_min[1]"),
    (["pieces", 0, "demould_work_min"], "5", "pieces[0].demould_work_min"),
    (["pins", 0, "start_min"], ..., "pins[0].start_min"),
    (["done", 0, "piece"], ..., "done[0].piece"),
    (["done", 0, "work"], 1, "done[0].work"),
    (["before", 0, "start_min"], "9:00", "before[0].start_min"),
    (["calendar", "start"], "noon", "calendar.start"),
])
refused("casting", load("casting.request.json")[1], [
    (["medium"], ..., "medium"),
    (["medium"], "gold", "medium"),
    (["medium"], {"plaster_consistency": 5}, "medium.plaster_consistency"),
    (["medium"], {"name": "x", "density_g_ml": 1}, "medium"),
    (["medium"], {"name": "x", "density_g_ml": 0, "set_time_min": 5}, "medium"),
    (["area_mm2"], ..., "area_mm2"),
    (["area_mm2"], 1, "area_mm2"),
    (["highest_mm"], ..., "highest_mm"),
    (["highest_mm"], -1, "highest_mm"),
    (["surface_mm2"], ..., "surface_mm2"),
    (["surface_mm2", "value"], 0, "surface_mm2"),
    (["filling"], "hollow", "filling"),
    (["filling", "kind"], "foam", "filling.kind"),
    (["filling", "thickness_mm"], ..., "filling.thickness_mm"),
    (["filling", "thickness_mm"], 500, "filling.thickness_mm"),
    (["backing_mm"], 501, "backing_mm"),
    (["copies"], 1.5, "copies"),
    (["moulds"], 0, "moulds"),
    (["moulds"], 1001, "moulds"),
    (["confirmed_for_food"], "yes", "confirmed_for_food"),
    (["casts"], [{"family": "mud", "copies": 1}], "casts[0].family"),
    (["casts"], [{"family": "wax"}], "casts[0].copies"),
    (["casts"], [{"family": "wax", "copies": 1, "defects": ["ugly"]}], "casts[0].defects[0]"),
    (["prices"], {"hour": -1}, "prices.hour"),
    (["scale_step_g"], 0, "scale_step_g"),
])
refused("survey", load("survey.request.json")[0], [
    (["image_size_px"], ..., "image_size_px"),
    (["image_size_px", 0], 0, "image_size_px[0]"),
    (["image_size_px", 1], 1200.5, "image_size_px[1]"),
    (["lens", "focal_px"], ..., "lens.focal_px"),
    (["lens", "focal_px"], -1, "lens.focal_px"),
    (["lens", "focal_sd_px"], -1, "lens.focal_sd_px"),
    (["lens", "center_px"], [1], "lens.center_px"),
    (["lens", "k1"], "0.1", "lens.k1"),
    (["lens", "k_sd"], -0.1, "lens.k_sd"),
    (["lens"], 5, "lens"),
    (["gravity"], [0, 1], "gravity"),
    (["gravity_sd_deg"], 0, "gravity_sd_deg"),
    (["wall_angle_deg"], 91, "wall_angle_deg"),
    (["wall_angle_sd_deg"], 0, "wall_angle_sd_deg"),
    (["point_sd_px"], 0, "point_sd_px"),
    (["point_sd_px"], True, "point_sd_px"),
    (["evidence"], ..., "evidence"),
    (["evidence"], {}, "evidence"),
    (["evidence", 1], 7, "evidence[1]"),
    (["evidence", 1, "kind"], ..., "evidence[1].kind"),
    (["evidence", 1, "kind"], "dot", "evidence[1].kind"),
    (["evidence", 2, "px"], ..., "evidence[2].px"),
    (["evidence", 2, "px"], [1, 2, 3], "evidence[2].px"),
    (["evidence", 2, "px", 1], None, "evidence[2].px[1]"),
    (["evidence", 3, "mm", 0], 1e9, "evidence[3].mm"),
    (["evidence", 1, "sd_px"], 0, "evidence[1].sd_px"),
    (["edge_sd_px"], -1, "edge_sd_px"),
    (["edge_reach"], 0, "edge_reach"),
    (["edge_common_sd_px"], "no", "edge_common_sd_px"),
    (["outline_curved"], 1, "outline_curved"),
    (["outline_px"], ..., "outline_px"),
    (["outline_px"], [[1, 1], [5, 5]], "outline_px"),
    (["outline_px", 4], "here", "outline_px[4]"),
    (["holes_px"], [[[900, 600], [950, 600]]], "holes_px[0]"),
    (["holes_px"], [[[900, 600], [950, 600], [900, "a"]]], "holes_px[0][2][1]"),
    (["photo"], 5, "photo"),
    (["find"], ["corners"], "photo"),
    (["find"], ["money"], "find[0]"),
    (["outline_px"], ..., "outline_px"),
])
verdict.end()
