// The settings: their ranges from the service, the house's wishes, and all of them in one line.

import { ADVICE, LINES } from "./asking.js";
import { fillBallForms } from "./balls.js";
import { $, fillNumbers, make, selectTab } from "./controls.js";
import { schemaIn } from "./service.js";
import { say, texts } from "./texts.js";

// A house may set hand, level, oil_ft and idle_s in the page's address.
export const wishes = new URLSearchParams(location.search);

export function setUp(contract, onView) {
  const schemaOf = (dotted) =>
    schemaIn(contract, dotted.startsWith("situation.") ? ADVICE : LINES, dotted);
  for (const view of Object.keys(texts.views)) addTab(view, onView);
  selectTab($("views"), $("views").firstElementChild);
  offerOil(schemaOf("lane.oil.length_ft"));
  fillBallForms(schemaOf);
  fillNumbers($("settings"), schemaOf);
  fillNumbers($("situation"), schemaOf);
  grantWishes();
  $("settings").reset();
}

function addTab(view, onView) {
  const tab = make("button", { type: "button", id: `tab-${view}`, textContent: texts.views[view] });
  tab.setAttribute("role", "tab");
  tab.setAttribute("aria-controls", `view-${view}`);
  tab.dataset.view = view;
  tab.addEventListener("click", () => { selectTab($("views"), tab); onView(); });
  $("views").append(tab);
}

function offerOil(length) {
  const oil = $("settings").elements.oil;
  oil.append(make("option", { value: "", textContent: texts.oilUnknown }));
  for (let feet = Math.ceil(length.minimum); feet <= length.maximum; feet++) {
    oil.append(make("option", { value: feet, textContent: say(texts.oilFeet, { feet }) }));
  }
}

function grantWishes() {
  for (const [name, wish] of [["hand", "hand"], ["level", "level"], ["oil", "oil_ft"]]) {
    const field = $("settings").elements[name];
    const inputs = [...(field.options ?? field)];
    const wanted = inputs.find((input) => input.value === wishes.get(wish));
    if (!wanted) continue;
    for (const input of inputs) input.defaultSelected = input.defaultChecked = input === wanted;
  }
}

export function describeSetup() {
  const data = new FormData($("settings"));
  const feet = data.get("oil");
  $("setup").textContent = say(texts.setup, {
    hand: texts.hands[data.get("hand")],
    level: data.get("level") === "own" ? texts.ownNumbers : texts.levels[data.get("level")],
    ball: texts.covers[data.get("cover")],
    oil: feet ? say(texts.oilShort.known, { feet }) : texts.oilShort.unknown,
  });
  $("own-spread").hidden = data.get("level") !== "own";
  $("own-release").hidden = data.get("release") !== "own";
  $("release").hidden = !data.get("cover");
  $("ratio").hidden = !feet;
  $("oil-help").hidden = Boolean(feet);
}
