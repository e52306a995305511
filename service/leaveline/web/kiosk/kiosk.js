// The kiosk page: from the pins that stand to the line, its picture and what to do with it.
// Everything lives in the page; nothing is stored, nothing leaves for another host.
// This file sets the page up and listens; each other file holds one thing the page does.

import { askAdvice, showKinds } from "./advice.js";
import { askPicture } from "./asking.js";
import { compareBalls } from "./balls.js";
import { caveats } from "./card.js";
import {
  $, MIRROR, drawPins, fillChoices, fillTexts, moveAlong, selectTab, show,
} from "./controls.js";
import { watchIdle } from "./idle.js";
import { hideAnswer, offerGlance, solve, watchFigures } from "./line.js";
import { ask, useKey } from "./service.js";
import { describeSetup, setUp } from "./setup.js";
import { state } from "./state.js";
import { say, texts } from "./texts.js";
import { only, showRefused, whenBack } from "./trouble.js";

let pinButtons;

// Whatever was changed, this shows what follows from it.
async function refresh() {
  const { standing } = state;
  showRefused();
  describeSetup();
  pinButtons.forEach((button, i) => button.setAttribute("aria-pressed", standing.has(i + 1)));
  $("empty").hidden = standing.size > 0;
  if (!standing.size) {
    hideAnswer();
    return;
  }
  const wrong = $("settings").querySelector(":invalid:not(fieldset)");
  if (wrong) {
    showRefused(wrong.validationMessage);
    return;
  }
  if (await solve()) showView();
}

function showView() {
  const view = $("views").querySelector("[aria-selected=true]").dataset.view;
  $("main").dataset.view = view;
  offerGlance();
  if (!state.answer) return;
  $("picture").hidden = view === "balls" || $("lane").hidden;
  if (view === "carry") drawCarry();
  if (view === "balls") compareBalls();
  if (view === "count") $("advice").replaceChildren();
}

async function drawCarry() {
  const { body } = state.answer;
  const source = await only("carry", (signal) => askPicture(body, "carry", 0, signal));
  if (source === undefined) return;
  $("carry").alt = say(texts.carryAlt, { leave: body.leave });
  show($("carry"), source);
}

function tap(pin) {
  if (!state.standing.delete(pin)) state.standing.add(pin);
  refresh();
}

function mirror() {
  state.standing = new Set([...state.standing].map((pin) => MIRROR[pin]));
  refresh();
}

function clear() {
  state.standing.clear();
  refresh();
}

function startAgain() {
  for (const form of document.forms) form.reset();
  $("key-form").hidden = true;
  $("advice").replaceChildren();
  $("verdict").textContent = "";
  showKinds();
  selectTab($("views"), $("views").firstElementChild);
  showView();
  clear();
  scrollTo(0, 0);
}

function takeKey(event) {
  event.preventDefault();
  useKey($("key").value);
  $("key-form").reset();
  $("key-form").hidden = true;
  refresh();
}

function takeDigit(event) {
  const typing = event.target.matches("input:not([type=radio]), select") || $("idle").open;
  if (typing || event.ctrlKey || event.metaKey || event.altKey || !/^\d$/.test(event.key)) return;
  tap(Number(event.key) || 10);
}

function listen() {
  const on = (id, kind, action) => $(id).addEventListener(kind, action);
  on("clear", "click", clear);
  on("mirror", "click", mirror);
  on("start-again", "click", startAgain);
  on("settings", "input", refresh);
  on("settings", "submit", (event) => event.preventDefault());
  on("situation", "input", () => { showKinds(); $("advice").replaceChildren(); });
  on("situation", "submit", askAdvice);
  on("views", "keydown", (event) => moveAlong($("views"), event));
  on("print", "click", () => print());
  on("key-form", "submit", takeKey);
  addEventListener("keydown", takeDigit);
}

async function start() {
  const contract = await only("contract", (signal) => ask("/openapi.json", { signal }));
  if (!contract) return;
  setUp(contract, showView);
  showKinds();
  listen();
  watchIdle(startAgain);
  watchFigures();
  showView();
  refresh();
  document.body.dataset.ready = "yes";
}

document.documentElement.lang = texts.lang;
document.title = texts.title;
fillTexts();
fillChoices();
pinButtons = drawPins($("pins"), tap);
$("caveats").replaceChildren(...caveats());
$("more").open = matchMedia("(min-width: 1100px)").matches;
whenBack(() => (document.body.dataset.ready ? refresh() : start()));
start();
