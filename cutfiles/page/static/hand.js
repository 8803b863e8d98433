// Where a hand moves something: two marks on a picture of cloth, a piece over its print.
"use strict";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

// The marks stand where the numbers beside them say.
const within = (number) => Math.min(100, Math.max(0, number));
const inputs = (mark) => ["x", "y"].map((side) => mark.closest("form").elements[side + mark.dataset.mark]);
const placeMark = (mark) => {
  const [across, down] = inputs(mark).map((input) => within(parseFloat(input.value.replace(",", ".")) || 0));
  mark.style.left = `${across}%`;
  mark.style.top = `${down}%`;
};
const placeMarks = () => document.querySelectorAll(".mark").forEach(placeMark);
const moveMark = (mark, across, down) => {
  const [x, y] = inputs(mark);
  x.value = within(across).toFixed(1);
  y.value = within(down).toFixed(1);
  placeMark(mark);
};
document.addEventListener("htmx:after:swap", placeMarks);
document.addEventListener("input", (event) => { if (event.target.closest("form.scale")) placeMarks(); });
placeMarks();

// The piece lies where its numbers say, in mm of the cloth, up from the lower left corner.
const movePiece = (piece, x, y) => {
  piece.dataset.x = x;
  piece.dataset.y = y;
  piece.setAttribute("transform", `translate(${x} ${-y})`);
};
let telling;
const tellPiece = (piece, wait) => {
  clearTimeout(telling);
  telling = setTimeout(() => {
    const values = { at: piece.closest("svg").dataset.at, x: piece.dataset.x, y: piece.dataset.y };
    htmx.ajax("POST", "/motif", { target: "#desk", swap: "outerMorph", values });
  }, wait);
};

let held = null;  // what is being dragged, and how to move it
document.addEventListener("pointerdown", (event) => {
  const marking = event.target.closest(".marking"), piece = event.target.closest("svg.motif .piece");
  if (marking) {
    event.preventDefault();
    const box = marking.getBoundingClientRect();
    const at = (pointer) => [((pointer.clientX - box.left) / box.width) * 100, ((pointer.clientY - box.top) / box.height) * 100];
    const far = (mark) => { const own = mark.getBoundingClientRect(); return Math.hypot(own.left + own.width / 2 - event.clientX, own.top + own.height / 2 - event.clientY); };
    const [nearest] = [...marking.querySelectorAll(".mark")].sort((one, other) => far(one) - far(other));
    nearest.focus();
    moveMark(nearest, ...at(event));
    held = (pointer) => moveMark(nearest, ...at(pointer));
  } else if (piece) {
    event.preventDefault();
    piece.focus();
    const scale = piece.closest("svg").getScreenCTM().a;
    const [x, y] = [parseFloat(piece.dataset.x), parseFloat(piece.dataset.y)];
    const from = [event.clientX, event.clientY];
    held = (pointer, last) => {
      movePiece(piece, x + (pointer.clientX - from[0]) / scale, y - (pointer.clientY - from[1]) / scale);
      if (last) tellPiece(piece, 0);
    };
  }
});
document.addEventListener("pointermove", (event) => held?.(event, false));
document.addEventListener("pointerup", (event) => { held?.(event, true); held = null; });
document.addEventListener("pointercancel", () => { held = null; });

document.addEventListener("keydown", (event) => {
  const [across, down] = ARROWS[event.key] || [0, 0];
  if (!across && !down) return;
  const mark = event.target.closest?.(".mark"), piece = event.target.closest?.("svg.motif .piece");
  const far = event.shiftKey ? 10 : 1;
  if (mark) {
    event.preventDefault();
    const [x, y] = inputs(mark).map((input) => parseFloat(input.value.replace(",", ".")) || 0);
    moveMark(mark, x + 0.5 * far * across, y + 0.5 * far * down);
  } else if (piece) {
    event.preventDefault();
    const step = parseFloat(piece.dataset.step) * far;
    movePiece(piece, parseFloat(piece.dataset.x) + step * across, parseFloat(piece.dataset.y) - step * down);
    tellPiece(piece, 400);
  }
});
