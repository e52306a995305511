// Two balls, or one ball thrown in two ways, side by side.

import { LINES, askPicture, numbers } from "./asking.js";
import { $, fillChoices, fillNumbers, fillTexts, make, show } from "./controls.js";
import { ask } from "./service.js";
import { chance, missRoom, number, standTarget } from "./speak.js";
import { state } from "./state.js";
import { say, texts } from "./texts.js";
import { only } from "./trouble.js";

const forms = () => [...document.querySelectorAll(".one-ball")];
const output = (form) => document.querySelector(`output[data-ball=${form.dataset.ball}]`);

export async function compareBalls() {
  if (forms().some((form) => !form.checkValidity())) return;
  const lines = await Promise.all(forms().map(askBall));
  if (lines.every(Boolean)) showVerdict(...lines);
}

async function askBall(form) {
  const body = { ...ballOf(form), play: "spare", limit: 1 };
  const name = form.dataset.ball;
  const { cover } = body.bowler.ball;
  const [reply, source] = await Promise.all([
    only(`ball ${name}`, (signal) => ask(LINES, { body, signal })),
    only(`ball picture ${name}`, (signal) => askPicture(body, "lane", 0, signal)),
  ]);
  if (!reply) return undefined;
  const line = reply.lines[0];
  const room = missRoom(line, texts.missRoomShortNone);
  output(form).replaceChildren(
    make("span", say(texts.ballNamed, { ball: texts.ballName[name], cover: texts.covers[cover] })),
    make("b", chance(line.make_probability)),
    make("span", standTarget(line)),
    make("span", say(texts.missRoomShort, { room })),
  );
  const image = form.querySelector("img");
  image.alt = say(texts.pictureAlt, { words: line.words });
  show(image, source);
  return line;
}

function ballOf(form) {
  const data = new FormData(form);
  const { release: _, ...bowler } = state.answer.body.bowler;
  const ball = { ...bowler.ball, cover: data.get("cover") };
  const own = data.get("release") === "own" ? { release: numbers(form, "bowler.release.") } : {};
  return { ...state.answer.body, bowler: { ...bowler, ball, ...own } };
}

function showVerdict(a, b) {
  const more = a.make_probability - b.make_probability;
  const isEven = Math.abs(more) < 2 * Math.hypot(a.standard_error, b.standard_error);
  const better = more > 0 ? 0 : 1;
  forms().forEach((form, i) => output(form).classList.toggle("better", !isEven && i === better));
  $("verdict").textContent = isEven ? texts.ballsEven : say(texts.ballsVerdict, {
    better: texts.ballName[forms()[better].dataset.ball],
    more: number(100 * Math.abs(more), 0),
  });
}

export function fillBallForms(schemaOf) {
  for (const form of forms()) {
    const name = form.dataset.ball;
    const release = $("release").cloneNode(true);
    release.removeAttribute("id");
    release.hidden = false;
    const own = release.querySelector("#own-release");
    own.id = `own-release-${name}`;
    const choices = release.querySelector("[data-choices]");
    choices.dataset.checked = form.dataset.release;
    choices.replaceChildren();
    const cover = make("select", { name: "cover" });
    cover.setAttribute("aria-label", texts.ball);
    for (const value of schemaOf("bowler.ball.cover").enum) {
      const textContent = texts.covers[value] ?? value;
      const defaultSelected = value === form.dataset.cover;
      cover.append(make("option", { value, textContent, defaultSelected }));
    }
    form.append(
      make("div", {}, make("h3", texts.ballName[name]), cover, release),
      make("img", { alt: "", hidden: true }));
    fillTexts(form);
    fillChoices(form, `-${name}`);
    fillNumbers(form, schemaOf, `-${name}`);
    const update = () => {
      own.hidden = new FormData(form).get("release") !== "own";
    };
    form.addEventListener("input", () => { update(); compareBalls(); });
    form.addEventListener("submit", (event) => event.preventDefault());
    form.addEventListener("reset", () => setTimeout(update));
    update();
  }
}
