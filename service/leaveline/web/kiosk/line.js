// The line: its numbers, words, miss room, the other lines to choose from, the lane picture.

import { askLines, askPicture, settings } from "./asking.js";
import { fillCard } from "./card.js";
import { $, make, show } from "./controls.js";
import { board, chance, kept, missRoom, number, standTarget } from "./speak.js";
import { leave, state } from "./state.js";
import { say, texts } from "./texts.js";
import { only, stopAll } from "./trouble.js";

const LEAST_TOLD = 0.005; // what a miss leaves more rarely is not told
const ALWAYS = 0.995; // and as good as nothing else then

// Ask for the line of the pins that stand; true once it is on the screen.
export async function solve() {
  const body = settings();
  $("answer").setAttribute("aria-busy", true);
  // The picture of the best line is wanted in any case, so both are asked for at once.
  drawLane(body, 0);
  const reply = await only("line", (signal) => askLines(body, signal));
  if (reply === undefined) return false;
  $("answer").setAttribute("aria-busy", false);
  if (!reply) {
    hideAnswer();
    return false;
  }
  state.answer = { ...reply, body };
  $("leave").textContent = reply.leave;
  $("solved").hidden = false;
  listLines();
  chooseLine(0);
  return true;
}

// An answer to another question is never left standing.
export function hideAnswer() {
  state.answer = undefined;
  stopAll();
  $("leave").textContent = texts.answerTitle;
  for (const id of ["solved", "picture"]) $(id).hidden = true;
  for (const id of ["lane", "carry"]) show($(id), undefined);
  offerGlance();
  fillCard();
}

function chooseLine(index) {
  const { answer } = state;
  const line = answer.lines[index];
  state.chosen = index;
  for (const button of $("others").children) {
    button.setAttribute("aria-pressed", Number(button.dataset.index) === index);
  }
  const makes = chance(line.make_probability);
  $("stand").textContent = board(line.stand_board);
  $("target").textContent = board(line.target_board);
  $("lay-down").textContent = board(line.lay_down_board);
  $("at-pins").textContent = board(line.board_at_pins);
  $("makes").textContent = makes;
  const all = answer.leave.split("-").length;
  $("count-pins").textContent =
    line.play === "count" ? say(texts.countPins, { pins: number(line.expected_pins, 1), all }) : "";
  $("words").textContent = kept(line.words);
  $("spoken").textContent = `${answer.leave}. ${standTarget(line)}. ${texts.makes}: ${makes}.`;
  $("miss-room").textContent = missRoom(line, texts.missRoomNone);
  $("if-missed").replaceChildren(missed(line, "left"), missed(line, "right"));
  $("cautions").replaceChildren(...line.cautions.map((caution) => make("li", {
    textContent: say(texts.caution[caution.code] ?? caution.code, {
      side: texts.sides[caution.side],
      pins: caution.leaves_pins.join("-"),
      chance: chance(caution.probability),
    }),
  })));
  $("glance").textContent = say(texts.glance, {
    stand: board(line.stand_board), target: board(line.target_board), chance: makes,
  });
  $("lane").alt = say(texts.pictureAlt, { words: line.words });
  offerGlance();
  fillCard();
}

function listLines() {
  $("others").replaceChildren(...worthShowing(state.answer.lines).map(({ line, index }, place) => {
    const worth = line.play === "count"
      ? `${texts.forCount} ${number(line.expected_pins, 1)}`
      : `${texts.forSpare} ${chance(line.make_probability)}`;
    const button = make("button", { type: "button" },
      make("b", String(place + 1)),
      make("span", standTarget(line)),
      make("b", worth));
    button.dataset.index = index;
    button.addEventListener("click", () => {
      chooseLine(index);
      drawLane(state.answer.body, index);
    });
    return button;
  }));
}

// The lines for the spare, and the best one for count where it is another.
function worthShowing(lines) {
  const same = (a, b) => a.stand_board === b.stand_board && a.target_board === b.target_board;
  const all = lines.map((line, index) => ({ line, index }));
  const spares = all.filter(({ line }) => line.play === "spare");
  const best = all.find(({ line }) => line.play === "count");
  const isNew = best && !spares.some(({ line }) => same(line, best.line));
  return isNew ? [...spares, best] : spares;
}

function missed(line, side) {
  const { probability, remainders } = line.if_missed[side];
  const title = side === "left" ? texts.missedLeft : texts.missedRight;
  const left = remainders
    .filter((remainder) => remainder.probability >= LEAST_TOLD)
    .map((r) => say(r.probability < ALWAYS ? texts.leaves : texts.leavesAlways, {
      pins: r.leave, chance: chance(r.probability),
    }));
  return make("p", {},
    make("b", say(title, { chance: chance(probability) })), ` ${left.join(", ")}`);
}

async function drawLane(body, index) {
  $("picture").setAttribute("aria-busy", true);
  const source = await only("lane", (signal) => askPicture(body, "lane", index, signal));
  if (source === undefined || body.leave !== leave()) return;
  show($("lane"), source);
  $("picture").hidden = !source || $("main").dataset.view === "balls";
  $("picture").setAttribute("aria-busy", false);
  fillCard();
}

// On a narrow screen the two numbers stay in sight while the large ones are not.
let isInSight = false;

export function watchFigures() {
  new IntersectionObserver((entries) => {
    isInSight = entries.at(-1).isIntersecting;
    offerGlance();
  }, { threshold: 0.5 }).observe($("figures"));
}

export function offerGlance() {
  $("glance").hidden = !state.answer || isInSight || $("main").dataset.view !== "line";
}
