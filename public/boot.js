// Starts the app, or says in a sentence why it did not start.

const { js, wasm } = document.getElementById("boot").dataset;
const note = document.getElementById("boot-note");

try {
  const app = await import(new URL(js, document.baseURI));
  await app.default({ module_or_path: new URL(wasm, document.baseURI) });
  note.remove();
} catch (error) {
  note.textContent =
    "Peelcast could not start. What you recorded is still kept on this device: do not clear " +
    "the browser's data. Load the page again; if that does not help, update the browser. " +
    `(${error})`;
}
