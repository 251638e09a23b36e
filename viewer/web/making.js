// Elements of the panel, and what is ticked off. All text from the plan is set as text.

function make(tag, set = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(set)) {
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (key in element) element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...children.flat(Infinity).filter((child) => child !== null && child !== undefined && child !== ""));
  return element;
}

// Ticks, by what is to be done, so that they outlast a page made anew. They stay on the device, where it lets them.
class Ticks {
  constructor(content) {
    this.key = `scrieve ticks ${content.name}`;
    this.done = new Set();
    try {
      this.done = new Set(JSON.parse(localStorage.getItem(this.key) ?? "[]"));
    } catch {
      /* nothing is kept here */
    }
  }

  name(step) {
    return [step.frame, step.kind, step.title].join(" | ");
  }

  has(step) {
    return this.done.has(this.name(step));
  }

  set(step, done) {
    if (done) this.done.add(this.name(step));
    else this.done.delete(this.name(step));
    try {
      localStorage.setItem(this.key, JSON.stringify([...this.done]));
    } catch {
      /* nor now */
    }
  }
}
