// The little that HTML can't do by itself: boxes that follow the answer, a file that is dropped, a server that is gone.
"use strict";

const told = () => document.getElementById("told");

// What is ticked or chosen is a property: an attribute that the answer changed does not move it.
document.addEventListener("htmx:after:swap", () => {
  for (const box of document.querySelectorAll("#desk input[type=checkbox]")) box.checked = box.defaultChecked;
  for (const option of document.querySelectorAll("#desk select[name] option")) {
    if (option.defaultSelected && option.closest("select") !== document.activeElement) option.selected = true;
  }
});

// The focus goes where the answer says, or stays as near as can be to what is gone.
let chain = [];
document.addEventListener("htmx:before:swap", () => {
  chain = [];
  for (let part = document.activeElement; part && part !== document.body; part = part.parentElement) {
    if (part.id) chain.push(part.id);
  }
});
document.addEventListener("htmx:after:swap", () => {
  const desk = document.getElementById("desk"), wanted = document.getElementById(desk.dataset.focus);
  delete desk.dataset.focus;
  if (wanted) {
    (wanted.querySelector("input:not([type=hidden]), select") || wanted).focus();
  } else if (document.activeElement === document.body) {
    const left = chain.map((id) => document.getElementById(id)).find((part) => part?.matches("[tabindex]"));
    left?.focus({ preventScroll: true });
  }
});

const gone = () => {
  told().textContent =
    "The page’s program doesn’t answer: it was closed, or started anew. Start it again with “cutfiles page” and open the address that it prints. What you had is lost only if you had not taken the job file away.";
};
document.addEventListener("htmx:error", gone);

// Whoever closes the page is asked, if there is something that is nowhere else. What was taken away is kept.
let leaving = false;
addEventListener("beforeunload", (event) => {
  if (!leaving && document.getElementById("desk").dataset.unsaved) event.preventDefault();
});
document.addEventListener("click", (event) => {
  if (!event.target.closest?.("a[download]")) return;
  setTimeout(async () => {
    const answer = await fetch("/unsaved");
    if (answer.ok && (await answer.text()) === "no") delete document.getElementById("desk").dataset.unsaved;
  }, 800);
});

document.addEventListener("htmx:after:request", (event) => {
  if (event.detail.ctx?.response?.status === 403) { leaving = true; location.reload(); }
});

// What the fabrics give is asked once the hand rests, and again until all of it is known.
let asking;
const ask = () => {
  clearTimeout(asking);
  if (!document.querySelector("#gives[data-pending]")) return;
  asking = setTimeout(() => htmx.ajax("GET", "/gives", { target: "#gives", swap: "outerMorph" }), 700);
};
document.addEventListener("htmx:after:swap", ask);
ask();

// A job is opened by dropping it anywhere.
document.addEventListener("dragover", (event) => event.preventDefault());
document.addEventListener("drop", (event) => {
  event.preventDefault();
  const input = document.getElementById("open-files");
  if (!input || event.dataTransfer.files.length === 0) return;
  input.files = event.dataTransfer.files;
  input.dispatchEvent(new Event("change", { bubbles: true }));
});

// Where the picture lies over what scrolls, whatever gets the focus comes out from below it.
const clear = () => {
  const picture = document.querySelector(".picture");
  const wide = !picture || getComputedStyle(picture).position !== "sticky" || matchMedia("(min-width: 60.01rem)").matches;
  document.documentElement.style.scrollPaddingTop = wide ? "" : `${picture.offsetHeight + 12}px`;
};
addEventListener("resize", clear);
new ResizeObserver(clear).observe(document.querySelector(".picture"));  // the answer changes it, and keeps it
