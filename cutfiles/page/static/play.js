// The run of a load, stroke by stroke; and the pieces of its picture, named by pointer and by key.
"use strict";

const SVG = "http://www.w3.org/2000/svg";
const TOOLS = { draw: "pen", register: "marks", cut: "knife" };
const calm = matchMedia("(prefers-reduced-motion: reduce)");
let playing = null;  // one load at a time

class Playing {
  constructor(figure, told) {
    this.figure = figure;
    this.strokes = told.strokes;
    this.svg = figure.querySelector(".pieces svg");
    this.way = document.createElementNS(SVG, "g");
    this.way.setAttribute("class", "way");
    this.way.setAttribute("transform", `translate(0 ${told.height}) scale(1 -1)`);
    this.head = document.createElementNS(SVG, "circle");
    this.head.setAttribute("r", told.height / 120);
    this.svg.append(this.way);
    this.svg.classList.add("playing");
    this.bar = document.createElement("progress");
    this.bar.max = this.strokes.length;
    this.bar.setAttribute("aria-label", "Strokes run");
    figure.querySelector(".player").append(this.bar);
    this.back();
  }

  back() {
    this.stop();
    this.way.replaceChildren(this.head);
    this.at = 0;
    this.path = null;
    this.tool = "";
    this.bar.value = 0;
  }

  begin() {  // the next stroke, if there is one
    if (this.path || this.at >= this.strokes.length) return Boolean(this.path);
    const stroke = this.strokes[this.at];
    this.path = document.createElementNS(SVG, "path");
    this.path.setAttribute("d", stroke.d);
    this.path.setAttribute("class", stroke.tool);
    this.way.insertBefore(this.path, this.head);
    this.length = this.path.getTotalLength();
    this.run = 0;
    if (stroke.tool !== this.tool && this.timer) this.say(`Now the ${TOOLS[stroke.tool]}`);
    this.tool = stroke.tool;
    return true;
  }

  on(mm) {  // so far along; whatever is left over begins the next one
    while (mm > 0 && this.begin()) {
      const left = this.length - this.run;
      this.run += Math.min(mm, left);
      mm -= left;
      const spot = this.path.getPointAtLength(this.run);
      this.head.setAttribute("cx", spot.x);
      this.head.setAttribute("cy", spot.y);
      if (this.run < this.length) {
        this.path.setAttribute("stroke-dasharray", `${this.run} ${this.length}`);
      } else {
        this.path.removeAttribute("stroke-dasharray");
        this.path = null;
        this.at += 1;
        this.bar.value = this.at;
      }
    }
    return this.at < this.strokes.length;
  }

  step() {
    this.stop();
    if (!this.begin()) return this.say("All strokes are run");
    const stroke = this.strokes[this.at];
    this.on(this.length - this.run);
    this.say(`Stroke ${this.at} of ${this.strokes.length}, ${TOOLS[stroke.tool]}${stroke.piece ? `: ${stroke.piece}` : ""}`);
  }

  play() {
    this.stop();
    if (this.at >= this.strokes.length) this.back();
    let last = performance.now();
    const speed = () => Number(this.figure.querySelector("[data-play=speed]").value);
    const frame = (now) => {
      const mm = speed() * (now - last) / 1000;
      // With reduced motion whole strokes come, one after the other.
      if (!calm.matches || mm >= 40) { last = now; if (!this.on(mm)) return this.end(); }
      this.timer = requestAnimationFrame(frame);
    };
    this.timer = requestAnimationFrame(frame);
    this.say("Running");
  }

  end() {
    this.timer = 0;
    this.say(`All ${this.strokes.length} strokes are run`);
  }

  stop() {
    if (!this.timer) return;
    cancelAnimationFrame(this.timer);
    this.timer = 0;
    this.say(`Stopped at stroke ${this.at + 1} of ${this.strokes.length}`);
  }

  say(words) {
    this.figure.querySelector(".named").textContent = words;
  }

  close() {
    if (this.timer) cancelAnimationFrame(this.timer);
    this.timer = 0;
    this.way.remove();
    this.bar.remove();
    this.svg.classList.remove("playing");
  }
}

const player = async (figure) => {
  if (playing?.figure === figure) return playing;
  const answer = await fetch(`/run/strokes/${figure.querySelector(".player").dataset.load}`);
  playing?.close();
  playing = answer.ok ? new Playing(figure, await answer.json()) : null;
  return playing;
};
document.addEventListener("click", async (event) => {
  const act = event.target.closest?.("button[data-play]");
  if (act) (await player(act.closest("figure")))?.[act.dataset.play]();
});
// The answer puts the picture as it was.
document.addEventListener("htmx:before:swap", (event) => {
  if (event.detail.ctx.target.id !== "desk") return;
  playing?.close();
  playing = null;
});

const point = (figure, piece) => {
  for (const other of figure.querySelectorAll(".pointed")) other.classList.remove("pointed");
  piece?.classList.add("pointed");
  figure.querySelector(".named").textContent = piece ? piece.dataset.says : "";
};
document.addEventListener("pointerover", (event) => {
  const piece = event.target.closest?.(".load [data-piece]");
  if (piece) point(piece.closest("figure"), piece);
});
document.addEventListener("keydown", (event) => {
  const way = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!way || !event.target.matches?.(".pieces")) return;
  event.preventDefault();
  const figure = event.target.closest("figure"), pieces = [...figure.querySelectorAll("[data-piece]")];
  const at = pieces.findIndex((piece) => piece.classList.contains("pointed"));
  point(figure, pieces[(at + way + pieces.length + (at < 0 && way < 0 ? 1 : 0)) % pieces.length]);
});

// Fabrics are put in order by dragging one onto the place of another.
let dragged = null;
const place = (event) => event.target.closest?.(".order li");
document.addEventListener("dragstart", (event) => { dragged = place(event); });
document.addEventListener("dragover", (event) => {
  for (const other of document.querySelectorAll(".onto")) other.classList.remove("onto");
  if (dragged) place(event)?.classList.add("onto");
});
document.addEventListener("drop", (event) => {
  const onto = place(event);
  if (dragged && onto && onto !== dragged) {
    const values = { number: dragged.dataset.number, to: onto.dataset.number };
    htmx.ajax("POST", "/order-move", { target: "#desk", swap: "outerMorph", values });
  }
  dragged = null;
});
document.addEventListener("dragend", () => { dragged = null; document.querySelector(".onto")?.classList.remove("onto"); });
