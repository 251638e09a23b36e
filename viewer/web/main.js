// Puts the page together.

const content = JSON.parse(document.getElementById("content").textContent);
const boat = unpacked(content, document.getElementById("bytes").textContent);
const frame = document.getElementById("stage");
const element = document.getElementById("canvas");

function begin() {
  const { look } = content;
  const canvas = new Canvas(element, look);
  canvas.keep(boat);
  const camera = new Camera(look.angle, () => stage.changed());
  const overlay = new Overlay(document.getElementById("overlay"), look);
  const stage = new Stage(content, boat, { canvas, camera, overlay });
  let fitted = 1;
  const size = () => {
    const { width, height } = frame.getBoundingClientRect();
    camera.size = [Math.max(width, 1), Math.max(height, 1)];
    const aspect = camera.size[0] / camera.size[1];
    if (!stage.firstPicture) stage.look("quarter");
    else if (Math.abs(Math.log(aspect / fitted)) > 0.2) stage.refit();
    else return stage.changed();
    fitted = aspect;
    return stage.changed();
  };
  const panel = new Panel(content, stage, document.getElementById("panel"));
  gestures(element, camera, (x, y) => stage.tap(x, y));
  size();
  new ResizeObserver(size).observe(frame);
  element.addEventListener("webglcontextrestored", () => location.reload());
  addEventListener("keydown", (event) => {
    if (event.target.matches("input, select, textarea")) return;
    const { step } = stage.hand;
    if (event.key === "Escape") stage.hand.body >= 0 ? stage.takeBody(-1) : stage.whole();
    else if (event.key === "ArrowRight" && step && step < content.steps.length) stage.takeStep(step + 1);
    else if (event.key === "ArrowLeft" && step > 1) stage.takeStep(step - 1);
    else if (event.key === " " && step && event.target === document.body) stage.play();
    else return;
    event.preventDefault();
  });
  globalThis.scrieve = { content, stage, camera, panel, overlay };
}

try {
  begin();
} catch (error) {
  const word = document.getElementById("word");
  word.textContent = `The boat cannot be shown here: ${error.message}.`;
  word.hidden = false;
}
