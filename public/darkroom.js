// Starts the picture worker and hands it one question after the other; the build puts what
// wasm-bindgen made of src/bin/darkroom.rs before this.

let before = wasm_bindgen({ module_or_path: "darkroom_bg.wasm" });
before.catch(() => postMessage("missing"));

onmessage = ({ data }) => {
  before = before.then(() => wasm_bindgen.answer(data));
};

// A program that has trapped is in no sound state: the page ends it.
addEventListener("error", fail);
addEventListener("unhandledrejection", fail);

function fail(event) {
  event.preventDefault();
  postMessage("failed");
}
