// The page of a preview: asks for the sight of what is chosen, shows it whole, and asks again when
// a file has changed. A report is swapped only when all of it that can be seen is there.

import { whySaid, faultsTold, timesTold } from "./side.js";
import { lookOf } from "./look.js";

const KINDS = ["job", "theme", "language", "output"];
const at = (id) => document.getElementById(id);
const report = at("report");
const side = at("side");
const shown = { shot: null, look: null, age: -1, sight: null };
let panel = { times: false, sentence: null };
let asking = false;
let again = false;

const ask = async (address) => {
  const answer = await fetch(address);
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.json();
};

const chosen = () => new URLSearchParams(KINDS.map((kind) => [kind, at(kind).value]));

// One request at a time; whatever changes in between is asked for right after.
async function refresh() {
  again = true;
  if (asking) return;
  asking = true;
  try {
    while (again) {
      again = false;
      const choice = chosen().toString();
      const sight = await ask(`sight?${choice}`);
      if (!again && choice === chosen().toString()) await show(sight);
    }
  } catch {
    tell("wrong", "The preview has ended. Start it again and open its new address.");
  } finally {
    asking = false;
  }
}

async function show(sight) {
  const shot = sight.shot;
  if (shot && shot.number !== shown.shot?.number) {
    const top = report.scrollTop;
    const look = await lookOf(shot, report, choose);
    report.replaceChildren(look.element);
    look.shown?.();
    report.scrollTop = look.form === shown.look?.form ? top : 0;
    Object.assign(shown, { shot, look });
    panel.sentence = null;
    document.title = `${shot.title} – preview`;
    at("file").href = `shots/${shot.number}/report`;
    at("file").hidden = false;
    sentences(shot, look);
  }
  if (!shot) report.replaceChildren(note("There is no report yet: something is in its way."));
  if (!shot) Object.assign(shown, { shot: null, look: null });
  report.classList.toggle("old", !sight.fresh);
  Object.assign(shown, { age: sight.age, sight });
  told(sight);
}

// Sentences come after the report, so that it is seen sooner.
async function sentences(shot, look) {
  const found = await ask(`shots/${shot.number}/sentences`).catch(() => []);
  if (shown.shot === shot) {
    look.mark(found);
    document.body.dataset.marked = shot.number;
  }
}

async function choose(number) {
  const shot = shown.shot;
  const why = await ask(`shots/${shot.number}/why/${number}`).catch(() => null);
  if (!why || shown.shot !== shot) return;
  shown.look.choose(number);
  panel.sentence = { why, number };
  drawSide(".why");
  side.focus();
}

function closeSentence() {
  const number = panel.sentence?.number;
  panel.sentence = null;
  drawSide();
  shown.look?.choose(null, number);
}

function told(sight) {
  const hadErrors = side.querySelector(".fault.error") !== null;
  const errors = sight.faults.filter((fault) => fault.severity === "error").length;
  const warnings = sight.faults.length - errors;
  const count = (number, word) => `${number} ${word}${number === 1 ? "" : "s"}`;
  const parts = [errors && count(errors, "error"), warnings && count(warnings, "warning")];
  const words = parts.filter(Boolean).join(", ");
  if (sight.fresh) tell("fresh", words ? `Up to date, ${words}` : "Up to date");
  else tell("wrong", sight.shot ? `${words} · last good report` : words);
  const total = sight.stages.reduce((sum, stage) => sum + stage.ms, 0);
  at("times").textContent = `${Math.round(total)} ms`;
  at("times").setAttribute("aria-label", `Made in ${Math.round(total)} ms: show the stages`);
  document.body.dataset.shot = sight.shot?.number ?? "";
  document.body.dataset.age = sight.age;
  drawSide(errors && !hadErrors ? ".faults" : "");
}

function tell(state, words) {
  at("status").className = state;
  if (at("state").textContent !== words) at("state").textContent = words;
}

function note(words) {
  const element = document.createElement("p");
  element.className = "empty";
  element.textContent = words;
  return element;
}

// Errors come first, whatever else is open; `first` is what was asked for or is new, to be seen.
function drawSide(first = "") {
  const top = side.scrollTop;
  const faults = shown.sight?.faults.length && faultsTold(shown.sight.faults);
  const errors = faults && faults.querySelector(".error");
  const parts = [
    errors && faults,
    panel.times && shown.sight && timesTold(shown.sight.stages),
    panel.sentence && whySaid(panel.sentence.why, closeSentence),
    !errors && faults,
  ].filter(Boolean);
  side.replaceChildren(...parts);
  side.hidden = parts.length === 0;
  side.scrollTop = top;
  if (first) side.querySelector(first)?.scrollIntoView();
  at("times").setAttribute("aria-expanded", String(panel.times));
}

async function start() {
  const choices = await ask("choices");
  const wished = new URLSearchParams(location.hash.slice(1));
  for (const kind of KINDS) {
    at(kind).replaceChildren(...choices[kind].map((name, number) => new Option(name, number)));
    if (wished.get(kind) in choices[kind]) at(kind).value = wished.get(kind);
    at(kind).addEventListener("change", () => {
      history.replaceState(null, "", `#${chosen()}`);
      refresh();
    });
  }
  at("times").addEventListener("click", () => {
    panel.times = !panel.times;
    drawSide(panel.times ? ".times" : "");
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && panel.sentence) closeSentence();
  });
  const changes = new EventSource("changes");
  changes.addEventListener("message", (event) => {
    if (Number(event.data) !== shown.age) refresh();
  });
  changes.addEventListener("error", () => {
    if (shown.sight) tell("wrong", "The preview does not answer. Is it still running?");
  });
  refresh();
}

start();
