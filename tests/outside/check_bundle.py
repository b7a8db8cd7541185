"""An export is what other programs take it for, and photos tell nothing that was to stay at home.

Sources: the record is held to tests/bundle/job.schema.json by PyPI's jsonschema (draft 2020-12).
ZIP files are read by Python's zipfile, PyPI's stream-unzip (which goes by the heads before
the parts, not by the directory) and, where it is installed, by unzip; ZIP files as other programs
write them are written by zipfile. Photos are written and read by PyPI's Pillow. Tables are read by
Python's csv and PyPI's pandas. Pages are read by PyPI's lxml, as XML, and by html5lib. No
spreadsheet is started: that no field is a formula is told by its first sign.
"""

import base64
import csv
import io
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import zipfile

import html5lib
import jsonschema
import lxml.etree
import numpy as np
import pandas
from PIL import Image, ImageCms, PngImagePlugin
from PIL.TiffImagePlugin import IFDRational
from stream_unzip import stream_unzip

from desk import Verdict, changed

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
FOLDER = pathlib.Path(tempfile.mkdtemp())
verdict = Verdict()


def desk(verb, file, *more):
    """What `desk VERB FILE` writes; None if it refuses, with the sentence."""
    program = os.environ["PEELCAST_DESK"]
    done = subprocess.run([program, verb, file, *more], capture_output=True, timeout=600)
    said = done.stderr.decode()
    return (done.stdout if done.returncode == 0 else None), said


def written(name, parts, method=zipfile.ZIP_STORED, stream=False):
    """A ZIP file of these parts; a stream has its sizes behind the parts."""
    file = FOLDER / name
    out = io.BytesIO()

    class Stream:
        def write(self, data):
            return out.write(data)

        def flush(self):
            pass

    with zipfile.ZipFile(Stream() if stream else out, "w", method) as into:
        for path, data in parts:
            into.writestr(path, data)
    file.write_bytes(out.getvalue())
    return file


def parts_of(data):
    with zipfile.ZipFile(io.BytesIO(data)) as found:
        assert found.testzip() is None
        return {info.filename: found.read(info) for info in found.infolist()}


# ---- Photos ----

SECRETS = [b"Hidden maker", b"Hidden model", b"HIDDEN-SERIAL", b"hidden words", b"2026:11:0"]
ORIENTATION, EXIF, GPS, MAKER_NOTE = 0x0112, 0x8769, 0x8825, 0x927C
KEPT = {ORIENTATION, EXIF, 0x920A, 0xA405}


def telling(turned):
    """Exif that tells everything, and what measuring needs."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0132] = "Hidden maker", "Hidden model", "2026:11:01 10:11:12"
    exif[ORIENTATION] = turned
    lens = exif.get_ifd(EXIF)
    lens[0x920A], lens[0xA405], lens[0xA431] = IFDRational(54, 10), 26, "HIDDEN-SERIAL"
    lens[MAKER_NOTE] = b"hidden words of the maker"
    place = exif.get_ifd(GPS)
    place[1], place[2], place[3], place[4] = "N", (51.0, 2.0, 3.0), "E", (4.0, 5.0, 6.0)
    return exif


random = np.random.default_rng(7)
smooth = np.linspace(0, 255, 320)[None, :, None] * np.ones((260, 1, 3))
noisy = np.clip(smooth + random.normal(0, 12, smooth.shape), 0, 255).astype(np.uint8)
photo = Image.fromarray(noisy)
profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
xmp = b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>hidden words</x:xmpmeta>"
words = PngImagePlugin.PngInfo()
words.add_text("Author", "hidden words")
words.add_itxt("XML:com.adobe.xmp", xmp.decode())
words.add_text("Comment", "hidden words", zip=True)
photos = {}


def keep(name, picture, form, **how):
    out = io.BytesIO()
    picture.save(out, form, **how)
    photos[name] = out.getvalue()


for turned in range(1, 9):
    keep(f"turned-{turned}", photo, "JPEG", exif=telling(turned), comment=b"hidden words", icc_profile=profile)
keep("progressive", photo, "JPEG", progressive=True, exif=telling(6), xmp=xmp, comment=b"hidden words")
keep("grey", photo.convert("L"), "JPEG", exif=telling(3), restart_marker_rows=2)
keep("cmyk", photo.convert("CMYK"), "JPEG", exif=telling(1))
keep("mpo", photo, "MPO", exif=telling(1), save_all=True, append_images=[photo.rotate(180)])
photos["trailer"] = photos["turned-6"] + b"\xff\xd8 hidden words behind the end \xff\xd9"
keep("png", photo, "PNG", pnginfo=words, exif=telling(8), icc_profile=profile, dpi=(300, 300))
keep("palette", photo.convert("P"), "PNG", pnginfo=words, transparency=3)
keep("webp", photo, "WEBP", exif=telling(6), xmp=xmp, icc_profile=profile)
keep("lossless", photo.convert("RGBA"), "WEBP", lossless=True, exif=telling(1), xmp=xmp)
keep("plain-webp", photo, "WEBP")
keep("gif", photo, "GIF", comment=b"hidden words", save_all=True, append_images=[photo.rotate(90)], loop=0)
keep("bmp", photo, "BMP")

with zipfile.ZipFile(ROOT / "tests/fixtures/jobs/v1.peelcast.zip") as fixture:
    record = json.loads(fixture.read("job.json"))
job = record["jobs"][0]
piece = json.loads(json.dumps(job["pieces"][0]))
for mark in ["photo", "reference", "outline", "holes"]:
    piece.pop(mark, None)


def shown(name):
    return {"photo": {"id": name, "name": f"{name}.jpg", "width": 320, "height": 260, "bytes": 9}}


def with_photos(names):
    """The record with a job of a piece for each photo."""
    pieces = [{**piece, "id": f"p-{name}", "name": name, "shots": [shown(name)]} for name in names]
    return {**record, "schema": 2, "jobs": [{**job, "schema": 2, "pieces": pieces}]}


parts = [(f"photos/{name}.photo", data) for name, data in photos.items()]
whole = written("photos.zip", [("job.json", json.dumps(with_photos(photos))), *parts])
cleaned, said = desk("export", whole)
verdict.hold(cleaned is not None and said == "", f"an export of {len(photos)} photos {said}")
clean = {pathlib.Path(name).stem: data for name, data in parts_of(cleaned).items() if name != "job.json"}
verdict.hold(clean.keys() == photos.keys(), "every photo is in the file")


def frames(data):
    picture = Image.open(io.BytesIO(data))
    count = getattr(picture, "n_frames", 1) if picture.format in ["GIF", "PNG", "WEBP"] else 1
    found = []
    for at in range(count):
        picture.seek(at)
        found.append(np.asarray(picture.convert("RGBA")))
    return found


def tags(data):
    exif = Image.open(io.BytesIO(data)).getexif()
    return set(exif) | set(exif.get_ifd(EXIF)) | set(exif.get_ifd(GPS))


for name, before in photos.items():
    after = clean[name]
    told = [secret for secret in SECRETS if secret in after]
    a, b = Image.open(io.BytesIO(before)), Image.open(io.BytesIO(after))
    same = [np.array_equal(x, y) for x, y in zip(frames(before), frames(after), strict=True)]
    right = (
        not told
        and tags(after) <= KEPT
        and all(same)
        and (a.size, a.mode) == (b.size, b.mode)
        and a.info.get("icc_profile") == b.info.get("icc_profile")
        and a.getexif().get(ORIENTATION) == b.getexif().get(ORIENTATION)
        and not (b.info.keys() & {"comment", "xmp", "Author", "Comment", "XML:com.adobe.xmp"})
    )
    verdict.hold(right, f"{name}: tells nothing ({told}, {sorted(tags(after) - KEPT)}), the same pixels and colours, turned alike")
for name in ["turned-6", "progressive", "png", "webp"]:
    exif = Image.open(io.BytesIO(clean[name])).getexif().get_ifd(EXIF)
    verdict.hold((float(exif[0x920A]), exif[0xA405]) == (5.4, 26), f"{name}: the focal length stays")
verdict.hold(any(secret in photos["turned-1"] for secret in SECRETS), "the photos did tell")

kept, said = desk("export", whole, "keep")
kept = {pathlib.Path(name).stem: data for name, data in parts_of(kept).items() if name != "job.json"}
verdict.hold(kept == photos, "photos that keep their traces are what they were")
again = written("again.zip", list(parts_of(cleaned).items()))
verdict.hold(parts_of(desk("export", again)[0]) == parts_of(cleaned), "clean photos stay as they are")

# ---- ZIP files ----

read = {}
for path, size, chunks in stream_unzip([cleaned]):
    data = b"".join(chunks)
    verdict.hold(size == len(data), f"stream-unzip: {path.decode()} has its size")
    read[path.decode()] = data
verdict.hold(read == parts_of(cleaned), "stream-unzip reads the same parts as zipfile")
if shutil.which("unzip"):
    file = FOLDER / "clean.zip"
    file.write_bytes(cleaned)
    done = subprocess.run(["unzip", "-t", file], capture_output=True, text=True)
    verdict.hold(done.returncode == 0 and "No errors" in done.stdout, "unzip -t finds no errors")
else:
    print("      unzip is not installed: the file was opened by two libraries only")

three = ["turned-1", "png", "webp"]
some = [("job.json", json.dumps(with_photos(three)))]
some += [(f"photos/{name}.jpg", photos[name]) for name in three]
wanted = parts_of(desk("export", written("some.zip", some))[0])
inside = [(f"my export/{name}", data) for name, data in some]
for what, made in {
    "deflated": written("a.zip", some, zipfile.ZIP_DEFLATED),
    "with sizes behind the parts": written("b.zip", some, zipfile.ZIP_DEFLATED, stream=True),
    "stored, with sizes behind the parts": written("c.zip", some, stream=True),
    "in another order, with folders": written("d.zip", [("photos/", b""), *some[::-1]], zipfile.ZIP_DEFLATED),
    "one folder down, beside other things": written("e.zip", [("my export/", b""), *inside, ("__MACOSX/._job.json", b"x")], zipfile.ZIP_DEFLATED),
}.items():
    found, said = desk("export", made)
    verdict.hold(found is not None and parts_of(found) == wanted, f"a ZIP file of another program, {what} {said}")
for what, made in {
    "bzip2": written("f.zip", some, zipfile.ZIP_BZIP2),
    "a name that climbs": written("g.zip", [*some, ("photos/../x.jpg", b"x")]),
    "no job.json": written("h.zip", some[1:]),
    "a bomb": written("i.zip", [*some, ("photos/bomb.jpg", bytes(600 << 20))], zipfile.ZIP_DEFLATED),
}.items():
    found, said = desk("export", made)
    verdict.hold(found is None and "Nothing on this phone was changed." in said, f"refused: {what}")

# ---- The record ----

schema = json.loads((ROOT / "tests/bundle/job.schema.json").read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(schema)
valid = jsonschema.Draft202012Validator(schema)


def resolved(part):
    return {**schema["$defs"][part["$ref"].split("/")[-1]], **part} if "$ref" in part else part


def unknown(value, part, path):
    """Fields of a record, and numbers and words in it, that the schema does not speak of."""
    part = resolved(part)
    choices = part.get("anyOf", part.get("oneOf"))
    if choices:
        fits = [one for one in choices if valid.evolve(schema={**one, "$defs": schema["$defs"]}).is_valid(value)]
        return [found for one in fits[:1] for found in unknown(value, one, path)] if fits else [path]
    if isinstance(value, dict):
        known = part.get("properties", {})
        return [
            found
            for key, inner in value.items()
            for found in (unknown(inner, known[key], f"{path}.{key}") if key in known else [f"{path}.{key}"])
        ]
    if isinstance(value, list):
        places = part.get("prefixItems") or [part["items"]] * len(value)
        return [found for at, (inner, of) in enumerate(zip(value, places)) for found in unknown(inner, of, f"{path}[{at}]")]
    return []


def undescribed(part, path=""):
    """Fields without a word on what they mean."""
    if isinstance(part, list):
        return [found for at, inner in enumerate(part) for found in undescribed(inner, f"{path}/{at}")]
    if not isinstance(part, dict):
        return []
    fields = part.get("properties", {})
    here = [f"{path}/{name}" for name, of in fields.items() if not of.get("description") and "const" not in of]
    return here + [found for key, inner in part.items() for found in undescribed(inner, f"{path}/{key}")]


verdict.hold(undescribed(schema) == [], f"every field of the schema is described {undescribed(schema)}")
records = {}
for name in ["v1.peelcast.zip", "v2.peelcast.zip"]:
    found, said = desk("export", ROOT / "tests/fixtures/jobs" / name)
    records[name] = json.loads(parts_of(found)["job.json"])
bare = written("bare.zip", [("job.json", json.dumps({**record, "jobs": [{"schema": 1, "id": "a", "pieces": [{"id": "p"}]}]}))])
records["a job with nothing in it"] = json.loads(parts_of(desk("export", bare)[0])["job.json"])
records["no job"] = json.loads(parts_of(desk("export", written("none.zip", [("job.json", json.dumps({**record, "jobs": []}))]))[0])["job.json"])
records["the photos above"] = json.loads(parts_of(cleaned)["job.json"])
for name, one in records.items():
    errors = [f"{error.json_path}: {error.message[:120]}" for error in valid.iter_errors(one)]
    verdict.hold(errors == [], f"{name}: what the program writes is what the schema says {errors[:3]}")
    strange = unknown(one, schema, "")
    verdict.hold(strange == [], f"{name}: every field that is written is in the schema {strange[:3]}")
full = records["v2.peelcast.zip"]


def filled(value):
    """How many fields are neither empty nor null."""
    if isinstance(value, dict):
        return sum(filled(inner) for inner in value.values())
    return sum(filled(inner) for inner in value) if isinstance(value, list) else value is not None


first = full["jobs"][0]["pieces"][0]
empty = [key for key, value in first.items() if not filled(value)]
verdict.hold(empty == [], f"the fixture has a piece with everything in it {empty}")
PIECE = ["jobs", 0, "pieces", 0]
broken = [
    (["format"], "other"), (["schema"], 3), (["jobs"], {}), (["exported"], ...), (["jobs", 0, "id"], ...),
    (["jobs", 0, "rev"], -1), (["jobs", 0, "schema"], 1), (["jobs", 0, "date"], 20261127),
    (["jobs", 0, "permission", "granted"], "yes"), (["jobs", 0, "visit", "hours"], [480]),
    ([*PIECE, "posture"], "lying"), ([*PIECE, "substrate"], 4), ([*PIECE, "temperature"], "18 °C"),
    ([*PIECE, "card"], ...), ([*PIECE, "card", "ratio_by_mass"], [1.0]), ([*PIECE, "card", "working"], None),
    ([*PIECE, "card", "marks", "density"], {"kind": "heard"}), ([*PIECE, "coats", 0, "tool"], "broom"),
    ([*PIECE, "coat_log", 0, "tap", "kind"], "sing"), ([*PIECE, "coat_log", 0, "tap", "coat"], 1.5),
    ([*PIECE, "notes", 2, "entry", "mass"], ...), ([*PIECE, "pictures", 0, "photo"], "photo-log"),
    ([*PIECE, "shots", 0, "outline", 0], [1.0]), ([*PIECE, "shots", 0, "reference"], {"Circle": {}}),
    ([*PIECE, "shots", 2, "shows"], "wall"), ([*PIECE, "shots", 0, "photo", "width"], -4),
    ([*PIECE, "relief_record", "swept", "frame"], ...), ([*PIECE, "relief_record", "edge", "kind"], "round"),
    ([*PIECE, "relief_record", "readings", 0, "height"], None), ([*PIECE, "patch_test", "result"], "fine"),
]
for path, value in broken:
    verdict.hold(not valid.is_valid(changed(full, path, value)), f"the schema refuses {path} = {value}")

# ---- Tables and sheets ----

EVIL = ["=1+1", "+1", "-1", "@sum", "\t=1", " =1", "<script>alert('x')</script>", 'a "b", c;d\r\ne & <b>']
evil = with_photos(["turned-1"])
one = evil["jobs"][0]["pieces"][0]
one["name"], evil["jobs"][0]["name"] = EVIL[6], EVIL[7]
one["notes"] = [
    {"at": f"2026-11-25T12:0{i}:00Z", "entry": {"kind": "note", "text": text}} for i, text in enumerate(EVIL)
]
one["notes"].append({"at": "2026-11-25T12:10:00Z", "entry": {"kind": "reading", "temperature": -2.5}})
one["own_items"] = [{"key": f"own-{i}", "what": text} for i, text in enumerate(EVIL)]
evil = written("evil.zip", [("job.json", json.dumps(evil)), ("photos/turned-1.jpg", photos["turned-1"])])
sample = ROOT / "tests/fixtures/jobs/v1.peelcast.zip"
SIGNS = "=+-@\t\r\n"
NUMBERS = {"Copies", "Coat", "Batch", "Mass (g)", "Temperature (°C)", "Count", "Volume (ml)", "Length (mm)", "Area (mm²)", "Weight (g)"}


def harmless(name, field):
    return not field.lstrip(" ").startswith(tuple(SIGNS)) or (name in NUMBERS and float(field) < 0)


for verb, file in [("kit", sample), ("log", sample), ("kit", evil), ("log", evil)]:
    data, said = desk(verb, file)
    text = data.decode("utf-8")
    verdict.hold(text.startswith("\ufeff") and text.endswith("\r\n"), f"{verb}: UTF-8 with its mark, lines end in CR LF")
    rows = list(csv.reader(io.StringIO(text[1:], newline=""), strict=True))
    verdict.hold(len(rows) > 2 and len({len(row) for row in rows}) == 1, f"{verb}: {len(rows)} rows of {len(rows[0])} fields")
    fields = [(name, field) for row in rows[1:] for name, field in zip(rows[0], row)]
    verdict.hold(all(harmless(*field) for field in fields), f"{verb}: no field is a formula")
    table = pandas.read_csv(io.BytesIO(data), encoding="utf-8-sig")
    verdict.hold(list(table.columns) == rows[0] and len(table) == len(rows) - 1, f"{verb}: pandas reads the same rows")
    for name in NUMBERS & set(table.columns):
        verdict.hold(pandas.api.types.is_numeric_dtype(table[name]), f"{verb}: {name} holds numbers")
    if file == evil:
        words = rows[0].index("What" if verb == "kit" else "In words")
        told = {row[words].lstrip("'").strip() for row in rows[1:]}
        verdict.hold({text.strip() for text in EVIL} <= told, f"{verb}: all words stand in it")
log = pandas.read_csv(io.BytesIO(desk("log", evil)[0]))
verdict.hold(log["Temperature (°C)"].dropna().tolist() == [-2.5], "log: a number below zero stays one")

full_log = pandas.read_csv(io.BytesIO(desk("log", ROOT / "tests/fixtures/jobs/v2.peelcast.zip")[0]))
cast = full_log[full_log["Kind"] == "cast"]
verdict.hold(cast["Copies"].tolist() == [2, 1] and "mould torn" in cast["In words"].iloc[1], "log: pours stand with their copies")

for units in [(), ("us",)]:
    for file in [sample, evil]:
        page = desk("sheet", file, *units)[0].decode()
        tree = lxml.etree.fromstring(page.encode())
        names = {element.tag for element in tree.iter()}
        html5lib.HTMLParser(strict=True).parse(page)
        verdict.hold("script" not in names, f"{file.name}: a page without scripts that XML and HTML readers take")
        outside = [v for e in tree.iter() for k, v in e.items() if k in ["src", "href"] and not v.startswith("data:")]
        verdict.hold(outside == [] and "http" not in page.replace("http://www.w3.org/2000/svg", ""), "it needs nothing beside it")
    pieces = tree.findall(".//article")
    verdict.hold(len(pieces) == 1 and EVIL[6] in "".join(pieces[0].find("h1").itertext()), "words stand as they were typed")
    picture = tree.find(".//img").get("src")
    picture = base64.b64decode(picture.split(",")[1])
    verdict.hold(picture == clean["turned-1"], "the photo on the page is the clean one")

tree = lxml.etree.fromstring(desk("sheet", sample)[0])
kit = pandas.read_csv(io.BytesIO(desk("kit", sample)[0]))
first = tree.find(".//article")
bag = ["".join(item.itertext())[2:] for item in first.findall(".//section[@class='bag']//li")]
mine = kit[kit["Pieces"].fillna("").str.startswith("Rosette")]
missing = [what for what in mine["What"] if not any(line.endswith(what.lstrip("'")) for line in bag)]
verdict.hold(bag and not missing, f"what the table packs stands on the sheet {missing}")
facts = {d.find("dt").text: d.find("dd").text for d in first.iter("div") if d.find("dt") is not None}
masses = {name: facts.get(name) for name in ["Part A", "Part B"]}


def grams(text):
    number, unit = text.split()[:2]
    return float(number.replace(",", "")) * {"g": 1, "kg": 1000}[unit]


total = sum(grams(text) for text in masses.values())
packed = mine[(mine["Group"] == "Paste") & mine["Mass (g)"].notna()]["Mass (g)"].sum()
verdict.hold(abs(total - packed) <= 2.0, f"the paste on the sheet ({total:.0f} g) is that of the table ({packed:.0f} g)")
shutil.rmtree(FOLDER)
verdict.end()
