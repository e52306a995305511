// Numbers as the page says them.

import { say, texts } from "./texts.js";

export const number = (value, digits) =>
  new Intl.NumberFormat(texts.lang, { maximumFractionDigits: digits }).format(value);

export const board = (value) => number(value, 1);

// What the model gives a throw is never called impossible and never certain.
export function chance(probability) {
  const percent = 100 * probability;
  if (percent < 0.05) return say(texts.chanceUnder, { percent: number(0.1, 1) });
  if (percent >= 99.95) return say(texts.chanceOver, { percent: number(99.9, 1) });
  return say(texts.chance, { percent: number(percent, percent < 10 || percent > 99 ? 1 : 0) });
}

// Words of the service, with no break between a number and its sign.
export const kept = (words) => words.replaceAll(" %", "\u00a0%");

export function missRoom({ miss_room: { left_boards: left, right_boards: right } }, none) {
  if (left === 0 && right === 0) return none;
  return say(texts.missRoomSides, { left: board(left), right: board(right) });
}

export const standTarget = (line) =>
  say(texts.standTarget, { stand: board(line.stand_board), target: board(line.target_board) });
