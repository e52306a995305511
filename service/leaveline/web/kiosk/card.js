// The card for the bag: what is printed, by the page's button or the browser's own.

import { $, make, show, smallRack } from "./controls.js";
import { board, kept, missRoom } from "./speak.js";
import { state } from "./state.js";
import { say, texts } from "./texts.js";

// Filled as soon as there is a line, so that whatever way it is printed, the card is there.
export function fillCard() {
  $("card").hidden = !state.answer;
  if (!state.answer) return;
  const line = state.answer.lines[state.chosen];
  $("card-leave").textContent = state.answer.leave;
  $("card-setup").textContent = say(texts.cardFor, { setup: $("setup").textContent });
  $("card-rack").replaceChildren(smallRack(state.standing));
  $("card-stand").textContent = board(line.stand_board);
  $("card-target").textContent = board(line.target_board);
  $("card-words").textContent = kept(line.words);
  const room = missRoom(line, "");
  $("card-room").textContent = room && `${texts.missRoom}: ${room}`;
  $("card-caveats").replaceChildren(...caveats());
  show($("card-picture"), $("lane").hidden ? undefined : $("lane").src);
}

export const caveats = () => texts.caveats.map((textContent) => make("li", { textContent }));
