// The panel: the boat, its steps, its findings, its parts.

class Panel {
  constructor(content, stage, element) {
    Object.assign(this, { content, stage, element, ticks: new Ticks(content) });
    const serious = content.findings.filter((each) => each.level !== "note" && !each.waived).length;
    this.tabs = {
      boat: "Boat",
      steps: "Steps",
      findings: serious ? `Findings ${serious}` : "Findings",
      parts: "Parts",
    };
    this.bar = make(
      "nav",
      { role: "tablist" },
      Object.entries(this.tabs).map(([tab, words]) =>
        make("button", { role: "tab", type: "button", id: `tab-${tab}`, onclick: () => this.open(tab) }, words),
      ),
    );
    this.page = make("div", { id: "page", tabIndex: -1 });
    this.element.append(this.bar, this.page);
    this.search = "";
    stage.listeners.push((hand) => this.follow(hand));
    this.follow(stage.hand);
  }

  open(tab) {
    const { content, stage } = this;
    const { hand } = stage;
    if ((tab !== "steps" && hand.step) || (tab !== "findings" && hand.finding >= 0)) stage.whole();
    stage.take({ tab, body: -1, alone: false });
    const next = content.steps.findIndex((step) => !this.ticks.has(step));
    if (tab === "steps" && !hand.step && content.steps.length) stage.takeStep(Math.max(next, 0) + 1);
  }

  follow(hand) {
    const { tab } = hand;
    const shown = JSON.stringify([
      tab,
      hand.step,
      hand.finding,
      hand.body,
      hand.frame,
      hand.others,
      hand.alone,
      this.stage.playing,
    ]);
    if (shown === this.shown) return;
    const same = this.head === `${tab} ${hand.body}`;
    this.shown = shown;
    this.head = `${tab} ${hand.body}`;
    for (const button of this.bar.children) button.setAttribute("aria-selected", String(button.id === `tab-${tab}`));
    const top = same && tab !== "steps" ? this.page.scrollTop : 0;
    this.page.replaceChildren(...(hand.body >= 0 ? this.card(hand) : this[tab](hand)));
    this.page.scrollTop = top;
    this.page.querySelector(".held")?.scrollIntoView({ block: "nearest" });
  }

  button(words, act, set = {}) {
    return make("button", { type: "button", onclick: act, ...set }, words);
  }

  // ---- the boat

  boat(hand) {
    const { content, stage } = this;
    const count = (kind) => stage.boat.bodies.filter((body) => kind(body.kind)).length;
    const loose = ["screw", "dowel", "batten", "rail"];
    const size = [0, 1, 2].map((k) => Math.round(stage.high[k] - stage.low[k]));
    const frames = make(
      "select",
      { onchange: (event) => stage.takeFrame(event.target.value), id: "frames" },
      make("option", { value: "" }, "whole boat"),
      content.frames.map(({ number, kind, parts, screws }) =>
        make(
          "option",
          { value: number, selected: number === hand.frame },
          `F${number}, ${kind}: ${parts} parts, ${screws} screws`,
        ),
      ),
    );
    const others = ["shown", "faded", "hidden"].map((state) =>
      this.button(state, () => stage.take({ others: state }), { "aria-pressed": String(hand.others === state) }),
    );
    return [
      make("h1", {}, content.name),
      make(
        "p",
        {},
        `${content.frames.length} frames, ${count((kind) => !loose.includes(kind))} parts, ${count((kind) => kind === "screw")} screws, ` +
          `${count((kind) => kind === "batten")} battens. As set up ${size[0]} × ${size[1]} × ${size[2]} mm.`,
      ),
      make("label", { htmlFor: "frames" }, "Frame"),
      frames,
      hand.frame ? make("div", { className: "row", id: "others" }, make("span", {}, "the others"), others) : null,
      make("label", { htmlFor: "faint" }, "How faint what is faded is"),
      make("input", {
        type: "range",
        id: "faint",
        min: 0,
        max: 0.4,
        step: 0.01,
        value: hand.faint,
        oninput: (event) => stage.take({ faint: Number(event.target.value) }),
      }),
      make(
        "div",
        { className: "row" },
        Object.keys(content.look.sides).map((side) => this.button(side, () => stage.look(side))),
      ),
      make(
        "p",
        { className: "quiet" },
        "One finger turns the boat, two move it and bring it nearer. Touch a part for its card, a mark for its finding.",
      ),
      make("p", { className: "quiet" }, content.fit),
    ].filter(Boolean);
  }

  // ---- steps

  steps(hand) {
    const { content, stage } = this;
    const step = content.steps[hand.step - 1];
    const last = content.steps.length;
    if (!step) return [last ? this.button("begin", () => stage.takeStep(1)) : make("p", {}, "There are no steps.")];
    const go = (number) => {
      stage.playing = false;
      stage.takeStep(clamp(number, 1, last));
    };
    const first = content.steps.slice(0, hand.step - 1).reduce((sum, each) => sum + each.drillings, 0);
    const where = step.stage === "bench" ? `F${step.frame}, on the bench` : step.stage;
    const frames = [
      ...new Map(
        content.steps.map((each, n) => [each.stage === "bench" ? `F${each.frame}` : each.stage, n + 1]).reverse(),
      ).entries(),
    ].reverse();
    const done = make("input", {
      type: "checkbox",
      id: "done",
      checked: this.ticks.has(step),
      onchange: (event) => {
        this.ticks.set(step, event.target.checked);
        count.textContent = this.counted();
      },
    });
    const count = make("span", { className: "quiet", id: "counted" }, this.counted());
    return [
      make(
        "div",
        { className: "row", id: "walk" },
        this.button("‹ back", () => go(hand.step - 1), { disabled: hand.step === 1 }),
        this.button(stage.playing ? "pause" : "play", () => stage.play(), { id: "play" }),
        this.button("next ›", () => go(hand.step + 1), { disabled: hand.step === last, className: "main" }),
      ),
      make(
        "div",
        { className: "row" },
        make(
          "select",
          { "aria-label": "go to", onchange: (event) => go(Number(event.target.value)) },
          frames.map(([words, number]) =>
            make(
              "option",
              { value: number, selected: words === (step.stage === "bench" ? `F${step.frame}` : step.stage) },
              words,
            ),
          ),
        ),
        make("span", { className: "quiet" }, `step ${hand.step} of ${last}`),
        this.button("again", () => go(hand.step), { disabled: !step.adds }),
      ),
      make("p", { className: "where" }, where),
      make("h2", {}, step.title),
      content.drillings.slice(first, first + step.drillings).map((drilling) => this.drilling(drilling)),
      step.watch.length
        ? make(
            "ul",
            {},
            step.watch.map((words) => make("li", {}, words)),
          )
        : null,
      make("label", { className: "tick" }, done, make("span", {}, "done"), count),
      step.cautions.map((key) =>
        make(
          "details",
          {},
          make("summary", {}, `Take care: ${content.cautions[key][0]}`),
          make("p", {}, content.cautions[key][1]),
        ),
      ),
      step.cautions.length ? make("p", { className: "quiet" }, content.defer) : null,
    ]
      .flat()
      .filter(Boolean);
  }

  counted() {
    const done = this.content.steps.filter((step) => this.ticks.has(step)).length;
    return `${done} of ${this.content.steps.length} done`;
  }

  drilling({ screws, from, stop, drill }, own = screws) {
    return make(
      "div",
      { className: "drilling" },
      make("strong", {}, stop, make("small", {}, " mm deep")),
      make(
        "div",
        {},
        make("div", {}, `${own}, from ${from}`),
        make(
          "div",
          { className: "quiet" },
          `${drill}; the stop ${stop} mm below the face`,
        ),
      ),
    );
  }

  // ---- findings

  findings(hand) {
    const { content } = this;
    if (!content.findings.length)
      return [make("p", {}, "Nothing was found."), make("p", { className: "quiet" }, content.fit)];
    const below = new Set();
    if (hand.finding >= 0) below.add(content.findings[hand.finding].because ?? hand.finding);
    const rows = content.findings.map((each, n) =>
      each.because === null || below.has(each.because) ? this.row(each, n, hand) : null,
    );
    return [make("ul", { className: "findings" }, rows), make("p", { className: "quiet" }, content.fit)];
  }

  row(each, n, hand) {
    const held = n === hand.finding;
    const under = this.content.findings.filter((other) => other.because === n).length;
    const sign = make("span", { className: "sign", "aria-hidden": "true" }, each.sign);
    sign.style.color = each.colour;
    const more = held
      ? [
          each.cure ? make("p", {}, make("b", {}, "Cure: "), each.cure) : null,
          each.waived ? make("p", { className: "quiet" }, `waived: ${each.waived}`) : null,
          each.note ? make("p", { className: "quiet" }, each.note) : null,
          each.source ? make("p", { className: "quiet" }, each.source) : null,
        ]
      : [];
    const head = [
      make("b", {}, each.frame ? `F${each.frame}` : "Boat"),
      make("span", { className: "quiet" }, ` ${each.check}`),
    ];
    const words = make(
      "div",
      {},
      make("span", { className: "visually-hidden" }, `${each.level}: `),
      make("div", {}, head),
      each.message,
      under
        ? make("span", { className: "quiet" }, ` ${under} more ${under > 1 ? "follow" : "follows"} from this`)
        : null,
      more,
    );
    return make(
      "li",
      { className: [held ? "held" : "", each.because === null ? "" : "under"].join(" ") },
      make("button", { type: "button", onclick: () => this.stage.takeFinding(n), "data-finding": n }, sign, words),
    );
  }

  // ---- parts

  parts() {
    const found = make("ul", { className: "found" });
    const list = () => {
      const words = this.search.toLowerCase().split(/\s+/).filter(Boolean);
      const hits = this.stage.boat.bodies.filter(({ n, name, kind, frame }) => {
        const text =
          `${name} ${kind} f${frame} ${this.content.facts[n].map((fact) => fact[1]).join(" ")}`.toLowerCase();
        return (words.length || (kind !== "screw" && kind !== "dowel")) && words.every((word) => text.includes(word));
      });
      const named = ({ name }) => words.every((word) => name.toLowerCase().includes(word));
      hits.sort((a, b) => named(b) - named(a)); // what is called so before what only has to do with it
      found.replaceChildren(
        ...hits.slice(0, 60).map(({ n, name, kind }) => {
          const swatch = make("span", { className: "swatch" });
          swatch.style.background = this.content.look.colours[kind];
          return make(
            "li",
            {},
            make("button", { type: "button", onclick: () => this.stage.takeBody(n, { fly: true }) }, swatch, name),
          );
        }),
        hits.length > 60 ? make("li", { className: "quiet" }, `and ${hits.length - 60} more`) : "",
        hits.length ? "" : make("li", { className: "quiet" }, "nothing is called so"),
      );
    };
    const input = make("input", {
      type: "search",
      id: "search",
      value: this.search,
      placeholder: "label, frame, stock, screw",
      "aria-label": "find a part",
      oninput: (event) => {
        this.search = event.target.value;
        list();
      },
    });
    list();
    return [input, found];
  }

  card(hand) {
    const { content, stage } = this;
    const { body } = hand;
    const name = stage.boat.bodies[body].name;
    const through = content.through.find((row) => row[0] === body)?.slice(1) ?? [];
    const of = new Map(content.drilled);
    const drilled = [body, ...through].filter((n) => of.has(n));
    const called = (n) =>
      drilled
        .filter((screw) => of.get(screw) === n)
        .map((screw) => stage.boat.bodies[screw].name.replace(/^F\S+ /, ""))
        .join(", ");
    const step = content.steps.findIndex((each) => each.coming.includes(body)) + 1;
    const findings = content.findings.map((each, n) => [each, n]).filter(([each]) => each.parts.includes(body));
    return [
      make(
        "div",
        { className: "row head" },
        make("h2", {}, name),
        this.button("✕", () => stage.takeBody(-1), { "aria-label": "put the card away", id: "away" }),
      ),
      make(
        "dl",
        {},
        content.facts[body].map(([fact, value]) => [make("dt", {}, fact), make("dd", {}, value)]),
      ),
      make(
        "div",
        { className: "row" },
        this.button("fade the rest", () => stage.take({ alone: !hand.alone }), {
          "aria-pressed": String(hand.alone),
          id: "alone",
        }),
        this.button("go there", () => stage.takeBody(body, { fly: true })),
        step ? this.button(`step ${step}`, () => stage.takeStep(step), { id: "comes" }) : null,
      ),
      through.length ? make("h3", {}, `${through.length} screw${through.length > 1 ? "s" : ""} through it`) : null,
      [...new Set(drilled.map((n) => of.get(n)))].map((n) => this.drilling(content.drillings[n], called(n))),
      findings.length
        ? make(
            "ul",
            { className: "findings" },
            findings.map(([each, n]) => this.row(each, n, hand)),
          )
        : null,
    ]
      .flat()
      .filter(Boolean);
  }
}
