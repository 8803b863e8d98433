// The little that HTML can't do by itself: boxes that follow the answer, a file that is dropped, a server that is gone.
"use strict";

const network = () => document.getElementById("network");

// What is ticked or chosen is a property: an attribute that the answer changed does not move it.
document.addEventListener("htmx:after:swap", (event) => {
  if (event.detail.ctx.target.id !== "desk") return;  // how far a search is changes no box
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
  } else if (document.activeElement === document.body || document.activeElement.disabled) {
    const left = chain.map((id) => document.getElementById(id)).find((part) => part?.matches("[tabindex]"));
    left?.focus({ preventScroll: true });
  }
});

// What was changed while nobody answered: as it is in the field, but not as it came.
const unsent = () => [...document.querySelectorAll("#desk :is(input, select)[hx-post]")].flatMap((field) => {
  const values = JSON.parse(field.getAttribute("hx-vals"));
  if (field.type === "checkbox") {
    if (field.checked === field.defaultChecked) return [];
    if (field.checked) values[field.name] = field.value;
  } else {
    const came = field.options ? [...field.options].find((option) => option.defaultSelected)?.value : field.defaultValue;
    if (field.type === "color" || field.value === (came ?? "")) return [];
    values[field.name] = field.value;
  }
  return [[field.getAttribute("hx-post"), values]];
});

// A computer that slept, a network that is switched off, or a program that was closed: which of them it was only
// time tells. Nothing that was typed is taken away meanwhile.
const AGAIN_MS = 1000;
let waiting = false, sending = false;
// An answer to anything else would put what wasn't sent yet as it was.
for (const step of ["htmx:before:request", "htmx:before:swap"]) {
  document.addEventListener(step, (event) => { if (waiting && !sending) event.preventDefault(); });
}
const send = (verb, path, values) => htmx.ajax(verb, path, { target: "#desk", swap: "outerMorph", values });
const again = async () => {
  const answer = await fetch("/unsaved").catch(() => null);
  if (answer?.status === 403) return offer();
  if (!answer?.ok) return setTimeout(again, AGAIN_MS);
  sending = true;
  for (const [path, values] of unsent()) await send("POST", path, values);
  waiting = sending = false;
  for (const part of document.querySelectorAll("#watch, #fetch")) part.remove();  // they come again, and listen anew
  await send("GET", "/desk");
  network().textContent = "The page’s program answers again; nothing was lost.";
  setTimeout(() => { if (!waiting) network().textContent = ""; }, 10_000);
};
document.addEventListener("htmx:error", () => {
  network().textContent =
    "The page’s program doesn’t answer just now; perhaps this computer slept. What you changed stays here and is sent as soon as it answers. If it was closed, start it again with “cutfiles page” and open the address that it prints: what you had is in the job file, if you saved it or took it away.";
  if (waiting) return;
  waiting = true;
  setTimeout(again, AGAIN_MS);
});

// On closing the page a person is asked, if there is something that is nowhere else. What was taken away is kept.
addEventListener("beforeunload", (event) => {
  if (document.getElementById("desk").dataset.unsaved) event.preventDefault();
});
document.addEventListener("click", (event) => {
  if (!event.target.closest?.("a[download]")) return;
  setTimeout(async () => {
    const answer = await fetch("/unsaved");
    if (answer.ok && (await answer.text()) === "no") delete document.getElementById("desk").dataset.unsaved;
  }, 800);
});

// Of a program that was started anew this page is a stranger: what it had is offered, as it is nowhere else perhaps.
const offer = () => {
  waiting = true;
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([document.getElementById("job-text").value], { type: "application/toml" }));
  link.download = "job.toml";
  link.textContent = "Keep the job file as it was here";
  network().replaceChildren("The page’s program was started anew: open the address that it printed last. ", link);
};
document.addEventListener("htmx:before:response", (event) => {
  if (event.detail.ctx.response.status !== 403) return;
  event.preventDefault();
  offer();
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

// From what is wrong to the field beside which it stands.
document.addEventListener("click", (event) => {
  const field = document.getElementById(event.target.closest?.("#problem a, #run a[href^='#']")?.hash.slice(1) ?? "");
  if (!field) return;
  event.preventDefault();
  field.scrollIntoView({ block: "center" });
  (field.matches("input, select") ? field : field.querySelector("input:not([type=hidden]), select"))?.focus({ preventScroll: true });
});
