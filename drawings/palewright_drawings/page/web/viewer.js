// The box in three dimensions, on its deck in sun and sky; drawn only when something changes, refined when it rests.

import {
  Color, DoubleSide, Group, LineBasicMaterial, LineSegments, Matrix4, Mesh, MeshBasicMaterial, NeutralToneMapping, PCFShadowMap,
  PerspectiveCamera, Plane, Raycaster, Scene, Vector2, Vector3, WebGLRenderer,
} from "three";
import { make, put } from "./elements.js";
import { Contents } from "./stage/contents.js";
import { cutFace } from "./stage/cut_faces.js";
import { distanceToSee } from "./stage/framing.js";
import { Frame, rimsOf } from "./stage/frame.js";
import { Ground } from "./stage/ground.js";
import { Handles, OUT } from "./stage/handles.js";
import { Heads } from "./stage/heads.js";
import { Light } from "./stage/light.js";
import { unpacked } from "./stage/meshes.js";
import { Orbit } from "./stage/orbit.js";
import { driverOf, levelOf, whenDrawn } from "./stage/pace.js";
import { edges, logOf, prism } from "./stage/prisms.js";
import { Refining } from "./stage/refining.js";
import { Tracing } from "./stage/tracing.js";
import { Woods } from "./stage/wood.js";

const FAULT = new Color("#c22f1b");
const PICKED = new Color("#0b6bd3");
const HALF = (12 * Math.PI) / 180; // half the angle of view: that of a lens for portraits, as in the path-traced pictures
// the pot (mm): its own, off the box, and how much of it is seen past the box, how far before the box's middle, as shares
const BESIDE = { radius: 76.2, apart: 28, seen: 0.35, forward: 0.4 };
const HEADROOM = 1.12; // of a box's height
const POT = { inch: "clay pot: 6 in", metric: "clay pot: 15 cm" };
const vector = (xyz) => new Vector3(...xyz);

/** The corners of a board where it is drawn, mm. */
const cornersOf = ({ board, mesh }) =>
  board.outline.flatMap(([x, y]) => [0, board.thickness].map((z) => new Vector3(x, y, z).applyMatrix4(mesh.matrix)));

function clip(material, planes) {
  if (!material.clippingPlanes !== !planes) material.needsUpdate = true;
  material.clippingPlanes = planes;
}

export class Viewer {
  /** `looks`: woods and finishes; `picked(name)` gets clicks, `drawn()` hears of each picture; `desk` knows and sets the sizes. */
  constructor(canvas, looks, picked, drawn, desk) {
    this.canvas = canvas;
    Object.assign(this, { looks, picked, drawn, coat: "bare", grown: false });
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.renderer.toneMapping = NeutralToneMapping;
    this.gl = this.renderer.getContext();
    this.driver = driverOf(this.gl);
    this.frames = [];
    this.refining = new Refining(this.renderer);
    this.woods = new Woods(looks);
    this.scene = new Scene();
    this.boards = new Map();
    this.whole = new Group();
    this.contents = new Contents();
    this.faces = new Group();
    this.heads = new Heads();
    this.beside = new Group();
    this.ground = new Ground(this.woods);
    this.scene.add(this.whole, this.contents, this.faces, this.heads, this.beside, this.ground);
    this.light = new Light(this.scene);
    this.camera = new PerspectiveCamera((360 / Math.PI) * HALF, 1, 10, 60000);
    this.camera.up.set(0, 0, 1);
    this.orbit = new Orbit(canvas, () => this.draw(), (x, y) => this.#pick(x, y));
    this.frame = new Frame();
    this.aimed = new Vector3(); // the frame's shift that the camera has
    this.middle = new Vector3();
    this.apart = 0;
    this.open = 0;
    this.knife = new Plane(new Vector3(0, 1, 0), 0);
    this.marks = new Set();
    this.chosen = new Set();
    // who asks for less motion gets one picture that stays
    this.calm = window.matchMedia("(prefers-reduced-motion: reduce)");
    new ResizeObserver(() => this.draw()).observe(canvas);
    this.handles = new Handles(canvas.parentElement, this, desk);
    if (looks.installed) this.tracing = new Tracing(canvas.parentElement, canvas, desk, () => this.#seen());
    this.note = make("p", { className: "beside", hidden: true });
    canvas.parentElement.append(this.note);
  }

  /**
   * Across a board where it stands: `width` (mm), the middle of its `edge` farther from the box's middle, on the face to
   * the eye, the `way` to the other edge, the way `along` it.
   */
  across(name) {
    const { board, mesh } = this.boards.get(name);
    const [xs, ys] = [0, 1].map((i) => board.outline.map((point) => point[i]));
    const [low, high] = [Math.min(...ys), Math.max(...ys)];
    const at = (y, z) => new Vector3((Math.min(...xs) + Math.max(...xs)) / 2, y, z).applyMatrix4(mesh.matrix);
    const eye = this.camera.position;
    const face = at(0, 0).distanceTo(eye) < at(0, board.thickness).distanceTo(eye) ? 0 : board.thickness;
    const [a, b] = [low, high].map((y) => at(y, face));
    const [edge, other] = a.distanceTo(this.middle) > b.distanceTo(this.middle) ? [a, b] : [b, a];
    return { width: high - low, edge, way: other.clone().sub(edge).normalize(), along: vector(board.grain) };
  }

  /** Whether a box was drawn, so that places in the picture are known. */
  get ready() {
    return Boolean(this.low && this.canvas.dataset.drawn);
  }

  /** From now on the face opposite to a way (unit vector) stays where it is in the picture when the box changes along it. */
  hold(way) {
    this.held = way?.z ? null : way;
  }

  /** The hand let go: a box that left the frame meanwhile is seen whole again. */
  letGo() {
    this.#measure(false);
    this.draw();
  }

  /** Push the world so that the held face's opposite stays. */
  #keepAcross(before, now) {
    if (!before || !this.held) return;
    const key = this.held.x ? "width" : "depth";
    this.frame.shift.addScaledVector(this.held, (before.box[key].mm - now.box[key].mm) / 2);
  }

  /** Show a snapshot; boards that did not change keep what they are made of. */
  show(design) {
    const names = new Set(design.boards.map((board) => board.name));
    for (const [name, held] of this.boards) if (!names.has(name)) this.#remove(name, held);
    for (const board of design.boards) this.#put(board);
    const another = this.design?.name !== design.name;
    if (another) {
      this.contents.plant(null);
      this.canvas.dataset.planted = "";
      this.held = null;
    } else this.#keepAcross(this.design?.values, design.values);
    this.design = design;
    this.heads.show(design.screws, design.values.screws.coating);
    this.contents.stand(design, this.grown);
    this.#measure(another);
    this.paint();
  }

  /** Say which boards do not fit: a set of names. */
  mark(marks) {
    this.marks = marks;
    this.paint();
  }

  /** Say which boards are chosen. */
  choose(names) {
    this.chosen = new Set(names);
    this.handles.pick([...names].map((name) => this.boards.get(name).board));
    this.paint();
  }

  /** Pull the boards apart, 0 to 1. */
  explode(share) {
    this.apart = share;
    this.#place();
    this.draw();
  }

  /** Cut the front away, 0 to 1. */
  cutOpen(share) {
    this.open = share;
    this.#place();
    this.draw();
  }

  /** Give all boards a finish by name. */
  finish(coat) {
    this.coat = coat;
    this.paint();
  }

  /** Show the box with what grows in it, or without. */
  grow(grown) {
    this.grown = grown;
    if (!this.design) return;
    this.contents.stand(this.design, grown);
    this.#measure(true);
    this.draw();
  }

  /** Take what grows in the box that is shown: bytes of the server. */
  plant(bytes) {
    if (!this.grown) return;
    const first = !this.contents.plants;
    this.contents.plant(unpacked(bytes), this.design);
    this.canvas.dataset.planted = this.design.name;
    this.#measure(first);
    this.draw();
  }

  /** Take the thing whose size everyone knows: bytes of the server. */
  putBeside(bytes) {
    this.beside.add(unpacked(bytes));
    this.draw();
  }

  /** Where a point (mm) of a board is in the picture, pixels from its top left; null where it is cut away. */
  where(point, name) {
    const at = vector(point);
    const held = this.boards.get(name);
    if (held?.away) at.add(held.away);
    return this.#cutAway(at.y) ? null : this.pixels(at);
  }

  /** The corners of all boards where they are drawn, mm. */
  #corners() {
    return [...this.boards.values()].flatMap(cornersOf);
  }

  /** The corners of each board in the picture, pixels; without the boards that are cut away. */
  bodies() {
    const found = [];
    for (const corners of [...this.boards.values()].map(cornersOf)) {
      if (corners.some((corner) => !this.#cutAway(corner.y))) found.push(corners.map((corner) => this.pixels(corner)));
    }
    return found;
  }

  #cutAway(y) {
    return this.open > 0 && y < -this.knife.constant;
  }

  /** Where a point (mm, changed) is in the picture, pixels. */
  pixels(at) {
    at.project(this.camera);
    return [((at.x + 1) / 2) * this.canvas.clientWidth, ((1 - at.y) / 2) * this.canvas.clientHeight];
  }

  /** The line of sight through a point of the window, pixels. */
  sight(x, y) {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const found = new Raycaster();
    found.setFromCamera(new Vector2(((x - left) / width) * 2 - 1, 1 - ((y - top) / height) * 2), this.camera);
    return found;
  }

  /** The middle of a board where it stands in the box, mm. */
  middleOf(name) {
    return this.boards.get(name)?.centre.toArray();
  }

  paint() {
    for (const [name, { mesh, edges: lines, board }] of this.boards) {
      const { material } = mesh;
      const picked = this.chosen.has(name);
      const faulty = this.marks.has(name);
      this.woods.dress(material, board.species, board.colour, this.coat);
      const over = picked ? PICKED : FAULT;
      material.userData.mark.value.set(over.r, over.g, over.b, picked ? 0.8 : faulty ? 0.7 : 0);
      material.emissive.copy(picked ? PICKED : FAULT).multiplyScalar(picked ? 0.3 : 0);
      lines.visible = picked || faulty;
      lines.material.color.set(picked ? "#03264d" : "#5a0c02");
      const ghost = this.chosen.size > 0 && !picked;
      if (material.transparent !== ghost) material.needsUpdate = true;
      material.transparent = ghost;
      material.opacity = ghost ? 0.35 : 1;
    }
    this.heads.paint(this.looks.finishes[this.coat]);
    this.heads.visible = !this.chosen.size;
    this.draw();
  }

  /** Draw soon, as cheaply as this machine needs while things move; the whole of it follows when nothing changes any more. */
  draw() {
    this.canvas.dataset.still = "";
    this.touched = performance.now();
    this.sample = 0;
    this.canvas.dataset.samples = "0";
    clearTimeout(this.resting);
    this.tracing?.end();
    this.#next(() => this.#moving());
  }

  /** One picture at a time: the newest that was asked for follows once the card is through with the last. */
  #next(step) {
    this.step = step;
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => this.#take());
  }

  #take() {
    const { step } = this;
    const begun = performance.now();
    this.step = null;
    const done = step && this.low && this.canvas.clientWidth && this.canvas.clientHeight ? step() : null;
    if (!done) {
      this.waiting = false;
      return;
    }
    whenDrawn(this.gl, begun, (took) => {
      this.waiting = false;
      done(took);
      if (this.step) this.#next(this.step);
    });
  }

  #moving() {
    const level = levelOf(this.driver, this.frames);
    this.#render(level.moving);
    return (took) => {
      this.frames = [...this.frames, took].slice(-5);
      const rest = Math.max(0, this.touched + level.rest - performance.now());
      if (!this.step) this.resting = setTimeout(() => this.#next(() => this.#still()), rest);
    };
  }

  /** The whole picture; then, sample by sample, a better one. */
  #still() {
    this.#render({ pixels: 1, grain: true, plants: true });
    return (took) => {
      this.canvas.dataset.still = "true";
      if (!this.calm.matches) this.#refineAfter(took);
    };
  }

  #refineAfter(took) {
    const { samples, pause } = levelOf(this.driver, this.frames);
    if (this.step) return;
    if (this.sample >= samples) return this.tracing?.begin();
    const go = () => this.#next(() => {
      this.light.sample(this.sample, this.frame.middle, this.#shadowed(), this.orbit.around);
      this.ground.shade.visible = false;
      this.refining.add(this.sample, this.sample + 1 === samples, this.scene, this.camera);
      this.sample += 1;
      this.canvas.dataset.samples = String(this.sample);
      return (long) => this.#refineAfter(long);
    });
    if (pause) this.resting = setTimeout(go, pause * took);
    else go();
  }

  /** What of the stage is seen, for the path tracer; null where it shows what no photograph does. */
  #seen() {
    if (this.apart || this.open || this.chosen.size || this.marks.size) return null;
    const { clientWidth: width, clientHeight: height } = this.canvas;
    const { x, y } = this.frame.shift;
    return {
      at: this.camera.position.toArray(), towards: this.frame.middle.toArray(), width, height,
      angle: (360 / Math.PI) * Math.atan(Math.tan(HALF) * Math.max(1, width / height)),
      look: this.coat, grown: Boolean(this.grown && this.contents.plants), pot: this.beside.position.toArray().slice(0, 2),
      reach: this.ground.reach, middle: [x, y],
    };
  }

  #shadowed() {
    return 1.15 * this.frame.reach * (1 + 0.75 * this.apart);
  }

  #render({ pixels, grain, plants }) {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    this.renderer.setPixelRatio(pixels * Math.min(2, window.devicePixelRatio));
    this.renderer.setSize(width, height, false);
    this.woods.grained.value = Number(grain);
    if (this.contents.plants) this.contents.plants.visible = this.grown && plants;
    this.#aim(width / height);
    this.light.live(this.frame.middle, this.#shadowed(), this.orbit.around);
    this.ground.shade.visible = this.ground.visible;
    this.renderer.render(this.scene, this.camera);
    this.drawn();
    this.handles.draw();
    put(this.note, { hidden: !this.beside.visible || !this.beside.children.length, textContent: POT[this.design?.units] || "" });
    this.canvas.dataset.drawn = String(1 + Number(this.canvas.dataset.drawn || 0));
  }

  /** Put the eye where it sees what it should, and what stands aside where it hides nothing. */
  #aim(aspect) {
    const { around, above, near } = this.orbit;
    this.camera.aspect = aspect;
    const { middle } = this.frame;
    const whole = this.frame.away(above, HALF, aspect);
    const spread = this.apart ? distanceToSee(this.#corners(), middle, this.orbit, HALF, aspect) : 0;
    const away = Math.max(whole, spread) * near;
    this.camera.position.set(
      middle.x + away * Math.cos(above) * Math.sin(around),
      middle.y - away * Math.cos(above) * Math.cos(around),
      middle.z + away * Math.sin(above),
    );
    this.camera.near = away / 50;
    this.camera.far = away * 6;
    this.camera.lookAt(middle);
    this.camera.updateProjectionMatrix();
    this.camera.updateMatrixWorld();
    this.aimed.copy(this.frame.shift);
    this.beside.position.copy(this.#asideOf());
  }

  /** Where the thing beside stands, mm: at the side that is turned away, as far out as it takes to be seen past the box. */
  #asideOf() {
    const [x, y] = this.#halves();
    const [level, turned] = [Math.cos, Math.sin].map((of) => of(this.orbit.around));
    const [c, s] = [Math.abs(level), Math.abs(turned)];
    const past = (c * x + s * y + BESIDE.seen * BESIDE.radius - s * BESIDE.forward * y) / Math.max(0.1, c);
    const near = x + BESIDE.apart + BESIDE.radius;
    const out = Math.min(near + 2 * BESIDE.radius, Math.max(near, past));
    return new Vector3(turned < 0 ? out : -out, -Math.sign(level) * BESIDE.forward * y, 0.2);
  }

  /** Half the width and half the depth that the box takes round its axis, mm. */
  #halves() {
    return ["x", "y"].map((axis) => Math.max(this.high[axis], -this.low[axis]));
  }

  #put(board) {
    const shape = JSON.stringify([board.outline, board.thickness]);
    let held = this.boards.get(board.name);
    if (!held) {
      // pushed back a hair, so that lines on it do not flicker
      const material = this.woods.material({ polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, clipShadows: true });
      held = { mesh: new Mesh(undefined, material), edges: new LineSegments(undefined, new LineBasicMaterial()) };
      held.mesh.castShadow = held.mesh.receiveShadow = true;
      held.mesh.name = board.name;
      held.mesh.matrixAutoUpdate = false;
      held.mesh.add(held.edges);
      this.whole.add(held.mesh);
      this.boards.set(board.name, held);
    }
    if (held.shape !== shape) {
      held.mesh.geometry.dispose();
      held.edges.geometry.dispose();
      const width = Math.max(...board.outline.map(([, y]) => y));
      held.mesh.geometry = prism(board.outline, board.thickness, logOf(board.name, width, board.thickness));
      held.edges.geometry = edges(board.outline, board.thickness);
      held.shape = shape;
    }
    held.board = board;
    const [grain, across, origin] = [board.grain, board.across, board.origin].map(vector);
    const out = new Vector3().crossVectors(grain, across);
    held.home = new Matrix4().makeBasis(grain, across, out).setPosition(origin);
    const half = board.outline.reduce((sum, [x, y]) => sum.add(new Vector2(x, y)), new Vector2());
    half.divideScalar(board.outline.length);
    held.centre = new Vector3(half.x, half.y, board.thickness / 2).applyMatrix4(held.home);
  }

  /** The present picture without its ground, drawn again at once so that it can be copied; paper has a ground of its own. */
  paper() {
    if (!this.canvas.clientWidth || !this.low) return this.canvas;
    const { visible } = this.ground;
    this.ground.visible = false;
    this.#render({ pixels: 1, grain: true, plants: true });
    this.ground.visible = visible;
    this.draw();
    return this.canvas;
  }

  #remove(name, held) {
    this.whole.remove(held.mesh);
    for (const one of [held.mesh, held.edges]) {
      one.geometry.dispose();
      one.material.dispose();
    }
    this.boards.delete(name);
  }

  #measure(another) {
    const corners = [...this.boards.values()].flatMap(({ board, home }) =>
      board.outline.flatMap(([x, y]) => [0, board.thickness].map((z) => new Vector3(x, y, z).applyMatrix4(home))));
    const low = new Vector3(Infinity, Infinity, Infinity);
    const high = low.clone().negate();
    for (const corner of corners) {
      low.min(corner);
      high.max(corner);
    }
    Object.assign(this, { low, high });
    this.middle.addVectors(low, high).divideScalar(2);
    const { shift } = this.frame;
    const points = corners.map(({ x, y, z }) => [another ? Math.hypot(x, y) : Math.hypot(x - shift.x, y - shift.y), z]).concat(this.contents.reaches(this.grown));
    const [x, y] = this.#halves();
    // dimension lines lie on the ground round it, buttons over the picture's top
    const top = Math.max(...points.map(([, z]) => z));
    const over = Math.max(...points.filter(([, z]) => z > 0.9 * top).map(([radius]) => radius));
    points.push([Math.hypot(x + OUT, y + OUT), 0], [over, HEADROOM * top]);
    const rim = Math.max(...points.map(([radius]) => radius));
    const beside = Math.max(rim + (1 + BESIDE.seen) * BESIDE.radius, x + BESIDE.apart + 2 * BESIDE.radius);
    // what the hand holds keeps its scale: else the picture would slide away under it
    if (!this.handles.held && this.frame.hold(rimsOf(points), beside, another)) this.ground.lay(this.frame.reach);
    const panels = new Map();
    for (const { board, centre } of this.boards.values()) {
      const sum = panels.get(board.panel) || { sum: new Vector3(), count: 0 };
      sum.sum.add(centre);
      sum.count += 1;
      panels.set(board.panel, sum);
    }
    this.panels = new Map([...panels].map(([name, { sum, count }]) => [name, sum.divideScalar(count)]));
    this.#place();
  }

  #place() {
    if (!this.panels) return;
    for (const { mesh, board, home, centre } of this.boards.values()) {
      const away = this.panels.get(board.panel).clone().sub(this.middle).multiplyScalar(1.1 * this.apart);
      away.addScaledVector(centre.clone().sub(this.middle), 0.3 * this.apart);
      this.boards.get(board.name).away = away;
      mesh.matrix.copy(home).premultiply(new Matrix4().makeTranslation(away));
      mesh.updateMatrixWorld(true);
    }
    this.heads.place((name) => this.boards.get(name)?.away);
    const together = this.apart < 0.05;
    this.ground.visible = this.contents.visible = this.beside.visible = together;
    this.ground.under(this.low, this.high, this.frame.shift);
    this.knife.constant = -(this.low.y - 1 + this.open * (this.high.y - this.low.y));
    this.#cut();
  }

  /** Take away what lies before the knife, and close the boards that it went through. */
  #cut() {
    for (const face of [...this.faces.children]) {
      face.geometry.dispose();
      face.material.dispose();
      this.faces.remove(face);
    }
    const level = -this.knife.constant;
    const planes = this.open > 0 ? [this.knife] : null;
    const close = (body, place) => {
      const face = planes && cutFace(body, place, level);
      if (!face) return;
      const colour = new Color(body.colour).lerp(new Color("#fff3d6"), body.species ? 0.55 : 0.04);
      this.faces.add(new Mesh(face, new MeshBasicMaterial({ color: colour, side: DoubleSide, toneMapped: false })));
    };
    this.contents.traverse((one) => {
      const { prism: body, home } = one.userData;
      if (one.material && (body || !this.contents.tree)) clip(one.material, planes);
      if (body) close(body, home);
    });
    for (const { mesh, edges: lines, board } of this.boards.values()) {
      for (const { material } of [mesh, lines]) clip(material, planes);
      close(board, mesh.matrix);
    }
    for (const { material } of this.heads.made) clip(material, planes);
  }

  #pick(x, y) {
    const seen = (hit) => hit.object.isMesh && !(this.open > 0 && this.knife.distanceToPoint(hit.point) < 0);
    const hit = this.sight(x, y).intersectObjects(this.whole.children, false).find(seen);
    this.picked(hit ? hit.object.name : "");
  }
}
