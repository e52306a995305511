// What the page knows just now. Nothing of it outlives the page.

export const state = {
  standing: new Set(), // the pins that stand
  answer: undefined, // the service's last answer, with the body it answers
  chosen: 0, // which of its lines is shown
};

export const leave = () => [...state.standing].sort((a, b) => a - b).join("-");
