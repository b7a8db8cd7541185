// A worker that times the darkroom and OpenCV on the same pictures, one after the other.
/* global cv, wasm_bindgen */
importScripts("opencv.js", "peelcast_bench.js");

onmessage = async ({ data }) => {
  try {
    for await (const row of run(data)) postMessage({ row });
    postMessage({ done: true });
  } catch (error) {
    postMessage({ why: String(error?.stack ?? error) });
  }
};

// The shortest of some runs: what disturbs a run only makes it longer.
function time(runs, work) {
  let [best, value] = [Infinity, undefined];
  for (let i = 0; i < runs; i += 1) {
    const begun = performance.now();
    value = work();
    best = Math.min(best, performance.now() - begun);
  }
  return [best, value];
}

async function* run(scenes) {
  await wasm_bindgen({ module_or_path: "peelcast_bench_bg.wasm" });
  // To await the module itself would never end: it resolves to itself.
  if (!cv.Mat) await new Promise((ready) => (cv.onRuntimeInitialized = ready));
  yield* warps(scenes[0]);
  yield* edgesOf(scenes[0]);
  yield* rings(scenes);
}

// A scene's picture enlarged or reduced to about so many pixels.
async function drawn(scene, pixels) {
  const picture = await createImageBitmap(await (await fetch(scene.picture)).blob());
  const scale = Math.sqrt(pixels / (picture.width * picture.height));
  const [width, height] = [picture.width, picture.height].map((n) => Math.round(n * scale));
  const paper = new OffscreenCanvas(width, height);
  const context = paper.getContext("2d", { willReadFrequently: true });
  context.imageSmoothingQuality = "high";
  context.drawImage(picture, 0, 0, width, height);
  const across = width / scene.size[0];
  const place = ([x, y]) => [(x + 0.5) * across - 0.5, (y + 0.5) * across - 0.5];
  return { data: context.getImageData(0, 0, width, height), place };
}

async function* warps(scene) {
  const { data, place } = await drawn(scene, 12e6);
  const bench = new wasm_bindgen.Bench(data.data, data.width, data.height);
  const flat = JSON.parse(bench.flat(new Float64Array(scene.card.map(place).flat())));
  const ask = JSON.stringify(flat.ask);
  const [ours] = time(7, () => bench.ask(ask));
  bench.free();

  const source = cv.matFromImageData(data);
  const target = new cv.Mat();
  const [w, h] = flat.size;
  const from = cv.matFromArray(4, 1, cv.CV_32FC2, flat.corners.flat());
  const to = cv.matFromArray(4, 1, cv.CV_32FC2, [0, 0, w - 1, 0, w - 1, h - 1, 0, h - 1]);
  const map = cv.getPerspectiveTransform(from, to);
  const [theirs] = time(7, () =>
    cv.warpPerspective(source, target, map, new cv.Size(w, h), cv.INTER_LINEAR),
  );
  [source, target, from, to, map].forEach((mat) => mat.delete());
  const sizes = [data.width * data.height, w * h].map((n) => (n / 1e6).toFixed(1));
  yield { what: `warp, ${sizes[0]} to ${sizes[1]} MP`, ours, theirs };
}

// The tools look at a strip so many times as wide as a point may be off (WIDE in settle.rs).
const WIDE = 1.8;

// The darkroom makes no map of all edges: it looks at strips about the outline, follows the edge
// from point to point and puts points on it. Beside it stands the map from which OpenCV's users do
// that; and, like for like, strips side by side until they cover the whole picture. In them the
// edge is not only found but followed as well.
async function* edgesOf(scene) {
  const { data, place } = await drawn(scene, 2e6);
  const bench = new wasm_bindgen.Bench(data.data, data.width, data.height);
  const outline = scene.outline.map(place);
  const ways = outline.map((from, i) =>
    JSON.stringify({ trace: { from, to: outline[(i + 1) % outline.length] } }),
  );
  // Where there is no clear edge, the darkroom says so.
  const answered = (way) => {
    try {
      return Boolean(bench.ask(way));
    } catch {
      return false;
    }
  };
  const [followed, found] = time(5, () => ways.filter(answered).length);
  const reach_px = 12;
  const settle = JSON.stringify({ settle: { ring: outline, closed: true, reach_px } });
  const [settled] = time(5, () => bench.ask(settle));
  const across = 2 * WIDE * reach_px;
  const strips = Array.from({ length: Math.ceil(data.height / across) }, (_, i) => {
    const y = Math.min((i + 0.5) * across, data.height - 1);
    return JSON.stringify({ settle: { ring: [[0, y], [data.width - 1, y]], closed: false, reach_px } });
  });
  const [covered] = time(5, () => strips.forEach((strip) => bench.ask(strip)));
  bench.free();

  const source = cv.matFromImageData(data);
  const grey = new cv.Mat();
  cv.cvtColor(source, grey, cv.COLOR_RGBA2GRAY);
  const edges = new cv.Mat();
  const [theirs] = time(7, () => cv.Canny(grey, edges, 40, 100));
  [source, grey, edges].forEach((mat) => mat.delete());
  const n = ways.length;
  yield { what: `a way (${found} of ${n} found), Canny`, ours: followed / n, theirs };
  const round = outline.reduce((sum, [x, y], i) => {
    const [far, high] = outline[(i + 1) % n];
    return sum + Math.hypot(far - x, high - y);
  }, 0);
  const read = ((round * across) / 1e6).toFixed(2);
  const whole = ((data.width * data.height) / 1e6).toFixed(1);
  yield { what: `${n} points put right (${read} MP), Canny (${whole})`, ours: settled, theirs };
  yield { what: `edges in strips over ${whole} MP, Canny`, ours: covered, theirs };
}

async function* rings(scenes) {
  for (const scene of scenes) {
    for (const pixels of [0.25e6, 1e6]) {
      const { data, place } = await drawn(scene, pixels);
      const truth = mask(data, [scene.outline.map(place)]);
      const lasso = loose(scene.outline.map(place));
      const bench = new wasm_bindgen.Bench(data.data, data.width, data.height);
      const ring = JSON.stringify({ ring: { ring_px: lasso } });
      const [ours, found] = time(3, () => bench.ask(ring));
      const [theirs, other] = time(1, () => grabCut(data, lasso));
      const { outline, holes } = JSON.parse(found).outline;
      const what = `ring, ${scene.name}, ${pixels / 1e6} MP`;
      const overlaps = [mask(data, [outline, ...holes]), other].map((of) => overlap(of, truth));
      yield { what, ours, theirs, overlaps };
      yield { what: `stroke, ${scene.name}, ${pixels / 1e6} MP`, ours: strokes(bench, lasso) };
      bench.free();
    }
  }
}

// A ring about the outline as a quick hand draws it: a tenth off, unsteady.
function loose(outline) {
  const middle = [0, 1].map((k) => outline.reduce((sum, p) => sum + p[k], 0) / outline.length);
  return outline.map((p, i) =>
    p.map((c, k) => middle[k] + (c - middle[k]) * (1.12 + 0.04 * Math.sin(i * 2.3))),
  );
}

// The longest of some strokes about the edge, each after the one before.
function strokes(bench, lasso) {
  const middle = [0, 1].map((k) => lasso.reduce((sum, p) => sum + p[k], 0) / lasso.length);
  const reach = Math.hypot(lasso[0][0] - middle[0], lasso[0][1] - middle[1]);
  let longest = 0;
  for (let i = 0; i < 8; i += 1) {
    const from = lasso[Math.floor((i * lasso.length) / 8)];
    const at = (share) => [0, 1].map((k) => middle[k] + (from[k] - middle[k]) * share);
    const ornament = i % 2 === 0;
    const path = ornament ? [at(0.5), at(0.75)] : [at(0.92), at(1.05)];
    const ask = JSON.stringify({ stroke: { ornament, path, radius_px: 0.03 * reach } });
    const [took] = time(1, () => bench.ask(ask));
    longest = Math.max(longest, took);
  }
  return longest;
}

// Five rounds from the same ring: all outside is wall, all inside may be ornament.
function grabCut(data, lasso) {
  const [source, rgb] = [cv.matFromImageData(data), new cv.Mat()];
  cv.cvtColor(source, rgb, cv.COLOR_RGBA2RGB);
  const cut = cv.matFromArray(
    data.height,
    data.width,
    cv.CV_8UC1,
    mask(data, [lasso]).map((inside) => (inside ? cv.GC_PR_FGD : cv.GC_BGD)),
  );
  const [back, front] = [new cv.Mat(), new cv.Mat()];
  cv.grabCut(rgb, cut, new cv.Rect(), back, front, 5, cv.GC_INIT_WITH_MASK);
  const found = Uint8Array.from(cut.data, (of) => of & 1);
  [source, rgb, cut, back, front].forEach((mat) => mat.delete());
  return found;
}

// 1 where a pixel's middle lies in the rings by the even-odd rule, else 0.
function mask({ width, height }, rings) {
  const inside = new Uint8Array(width * height);
  for (const ring of rings) {
    for (let y = 0; y < height; y += 1) {
      for (let i = 0; i < ring.length; i += 1) {
        const [a, b] = [ring[i], ring[(i + 1) % ring.length]];
        if (a[1] > y + 1e-6 === b[1] > y + 1e-6) continue;
        const x = a[0] + ((b[0] - a[0]) * (y + 1e-6 - a[1])) / (b[1] - a[1]);
        for (let at = Math.max(0, Math.ceil(x)); at < width; at += 1) {
          inside[y * width + at] ^= 1;
        }
      }
    }
  }
  return inside;
}

function overlap(one, other) {
  let [both, either] = [0, 0];
  for (let i = 0; i < one.length; i += 1) {
    both += one[i] & other[i];
    either += one[i] | other[i];
  }
  return both / either;
}
