// What makes pages handier where script runs. Every page works without it.

/** Show what only works with script: the buttons of steppers, those that print and that copy. */
function unveil(root) {
  for (const button of root.querySelectorAll("[data-step], [data-print], [data-dialog], [data-copy]")) {
    button.hidden = false;
  }
}

/** One step up or down from what is typed, never below nothing; to a thousandth at most. */
function step(button) {
  const box = button.closest("[data-stepper]");
  const input = box.querySelector("input");
  const size = Number(box.dataset.stepper) || 1;
  const typed = Number(input.value.replaceAll(",", "")) || 0;
  const next = Math.max(0, button.dataset.step === "up" ? typed + size : typed - size);
  input.value = String(Number(next.toFixed(3)));
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
}

/** After a refusal, start where the first thing is wrong. */
function goToFirstError(root) {
  if (!root.querySelector("[data-errors]") && !root.matches?.("[data-errors]")) return;
  const field = root.querySelector('[aria-invalid="true"]:not([type="hidden"])');
  (field ?? root.querySelector("[data-errors]")).focus();
}

/** A live region speaks of what changes in it, so what came with the page is put in again. */
function speakStatus() {
  const status = document.getElementById("status");
  if (!status?.children.length) return;
  const news = [...status.children];
  status.replaceChildren();
  requestAnimationFrame(() => status.replaceChildren(...news));
}

/** Put one line into the status region; the server sends it with a swap (HX-Trigger: status). */
function say(line) {
  const note = document.createElement("p");
  note.className = "notice notice-done";
  note.textContent = line;
  document.getElementById("status")?.replaceChildren(note);
}

/** Copy what a field holds; where the browser will not, it is selected for the person to copy. */
async function copy(button) {
  const field = document.getElementById(button.dataset.copy);
  field.select();
  try {
    await navigator.clipboard.writeText(field.value);
    say("Copied.");
  } catch {
    say("It is selected: copy it now.");
  }
}

function openDialog(button) {
  const dialog = document.getElementById(button.dataset.dialog);
  dialog.showModal(); // focus goes in, and the browser returns it to the button on closing
  dialog.querySelector("[autofocus], input, select, textarea, button, a")?.focus();
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-step], [data-print], [data-copy], [data-dialog], [data-close]");
  if (button?.dataset.step) step(button);
  else if (button?.hasAttribute("data-print")) window.print();
  else if (button?.dataset.copy) copy(button);
  else if (button?.dataset.dialog) openDialog(button);
  else if (button?.hasAttribute("data-close")) button.closest("dialog").close();
  for (const sheet of document.querySelectorAll("details.more[open]")) {
    if (!sheet.contains(event.target)) sheet.open = false;
  }
});

document.addEventListener("keydown", (event) => {
  const sheet = document.querySelector("details.more[open]");
  if (event.key !== "Escape" || !sheet) return;
  sheet.open = false;
  sheet.querySelector("summary").focus();
});

document.addEventListener("htmx:load", (event) => unveil(event.detail.elt));
document.addEventListener("htmx:afterSettle", (event) => goToFirstError(event.detail.elt));
document.addEventListener("status", (event) => say(event.detail.value));

unveil(document);
goToFirstError(document);
speakStatus();
