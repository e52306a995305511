// Count or spare, for what is at stake.

import { ADVICE, numbers } from "./asking.js";
import { $, make } from "./controls.js";
import { ask } from "./service.js";
import { chance, kept, number, standTarget } from "./speak.js";
import { state } from "./state.js";
import { texts } from "./texts.js";
import { only, showRefused } from "./trouble.js";

const TOO_CLOSE = ["same_line", "equal_plays", "margin_below_noise"];

export async function askAdvice(event) {
  event.preventDefault();
  const body = { ...state.answer.body, situation: situation() };
  const reply = await only("advice", (signal) => ask(ADVICE, { body, signal }));
  if (!reply) return;
  showRefused();
  $("advice").replaceChildren(
    make("p", { className: "words", lang: "en", textContent: kept(reply.words) }),
    make("div", { className: "pair" }, worth(reply, "spare"), worth(reply, "count")),
  );
}

function situation() {
  const form = $("situation");
  const kind = new FormData(form).get("kind");
  const { level } = state.answer.body.bowler;
  const own = rolls(form.elements.own_rolls.value);
  return {
    kind,
    ...(own.length && { own_rolls: own }),
    ...(level && { own_strength: { level } }),
    ...(kind === "match" && { opponent_rolls: rolls(form.elements.opponent_rolls.value) }),
    ...(kind === "cut" && numbers(form, "situation.")),
  };
}

// A sheet's symbols, with or without spaces between them.
function rolls(text) {
  return [...text.toUpperCase().replaceAll(/[\s,|]/g, "")];
}

function worth({ play: better, because, maximised, plays }, play) {
  const isClear = !because.some(({ code }) => TOO_CLOSE.includes(code));
  const { line, make_probability: makes, [maximised]: value } = plays[play];
  const said = maximised === "expected_score" ? number(value, 1) : chance(value);
  return make("div", { className: isClear && play === better ? "better" : "" },
    make("h3", play === "spare" ? texts.playSpare : texts.playCount),
    make("p", `${texts.maximised[maximised]}: ${said}`),
    make("p", `${texts.makes}: ${chance(makes)}`),
    make("p", standTarget(line)));
}

// Only what the chosen kind of situation needs is asked for.
export function showKinds() {
  const kind = new FormData($("situation")).get("kind");
  for (const box of $("situation").querySelectorAll("[data-kinds]")) {
    box.hidden = !box.dataset.kinds.split(" ").includes(kind);
  }
  $("situation").elements.own_rolls.required = kind === "match";
}
