// The box in three dimensions: boards are prisms with edges; drawn only when something changes.

import {
  Box3, BufferGeometry, Color, DirectionalLight, DoubleSide, EdgesGeometry,
  ExtrudeGeometry, Group, HemisphereLight, LineBasicMaterial, LineSegments, Matrix4, Mesh,
  MeshBasicMaterial, MeshLambertMaterial, PerspectiveCamera, Plane, PlaneGeometry, PCFShadowMap, Raycaster, Scene,
  ShadowMaterial, Shape, Vector2, Vector3, WebGLRenderer,
} from "three";
import { cutFace } from "./cut_faces.js";
import { distanceToSee } from "./framing.js";
import { Orbit } from "./orbit.js";
import { dispose, standIns } from "./plants.js";
import { grain, layGrain, woodColour } from "./woods.js";

const FAULT = new Color("#c22f1b");
const PICKED = new Color("#0b6bd3");
const HALF = (16 * Math.PI) / 180; // half the angle of view
const vector = (xyz) => new Vector3(...xyz);

/** The corners of a board where it is drawn, mm. */
const cornersOf = ({ board, mesh }) =>
  board.outline.flatMap(([x, y]) => [0, board.thickness].map((z) => new Vector3(x, y, z).applyMatrix4(mesh.matrix)));

function clip(material, planes) {
  if (!material.clippingPlanes !== !planes) material.needsUpdate = true;
  material.clippingPlanes = planes;
}

export class Viewer {
  /** `looks`: woods and finishes; `picked(name)` gets clicks, `drawn()` hears of each picture. */
  constructor(canvas, looks, picked, drawn) {
    this.canvas = canvas;
    Object.assign(this, { looks, picked, drawn, coat: "bare", grown: false });
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.scene = new Scene();
    this.boards = new Map();
    this.whole = new Group();
    this.others = new Group();
    this.faces = new Group();
    this.scene.add(this.whole, this.others, this.faces, new HemisphereLight("#ffffff", "#8a8276", 2.1));
    this.sun = new DirectionalLight("#fff6e6", 2.2);
    this.sun.castShadow = true;
    this.sun.shadow.mapSize.set(1024, 1024);
    this.floor = new Mesh(new PlaneGeometry(1, 1), new ShadowMaterial({ opacity: 0.28 }));
    this.floor.receiveShadow = true;
    this.scene.add(this.sun, this.sun.target, this.floor);
    this.camera = new PerspectiveCamera((360 / Math.PI) * HALF, 1, 10, 60000);
    this.camera.up.set(0, 0, 1);
    this.orbit = new Orbit(canvas, () => this.draw(), (x, y) => this.#pick(x, y));
    this.middle = new Vector3();
    this.reach = 500;
    this.apart = 0;
    this.open = 0;
    this.knife = new Plane(new Vector3(0, 1, 0), 0);
    this.marks = new Set();
    this.chosen = new Set();
    new ResizeObserver(() => this.draw()).observe(canvas);
  }

  /** Show a snapshot; boards that did not change keep what they are made of. */
  show(design) {
    const names = new Set(design.boards.map((board) => board.name));
    for (const [name, held] of this.boards) if (!names.has(name)) this.#remove(name, held);
    for (const board of design.boards) this.#put(board);
    this.design = design;
    this.#stand();
    this.#measure();
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
    this.#stand();
    this.#measure();
    this.draw();
  }

  /** Where a point (mm) of a board is in the picture, pixels from its top left; null where it is cut away. */
  where(point, name) {
    const at = vector(point);
    const held = this.boards.get(name);
    if (held?.away) at.add(held.away);
    return this.#cutAway(at.y) ? null : this.#pixels(at);
  }

  /** The corners of all boards where they are drawn, mm. */
  #corners() {
    return [...this.boards.values()].flatMap(cornersOf);
  }

  /** The corners of each board in the picture, pixels; without the boards that are cut away. */
  bodies() {
    const found = [];
    for (const corners of [...this.boards.values()].map(cornersOf)) {
      if (corners.some((corner) => !this.#cutAway(corner.y))) found.push(corners.map((corner) => this.#pixels(corner)));
    }
    return found;
  }

  #cutAway(y) {
    return this.open > 0 && y < -this.knife.constant;
  }

  #pixels(at) {
    at.project(this.camera);
    return [((at.x + 1) / 2) * this.canvas.clientWidth, ((1 - at.y) / 2) * this.canvas.clientHeight];
  }

  /** The middle of a board where it stands in the box, mm. */
  middleOf(name) {
    return this.boards.get(name)?.centre.toArray();
  }

  paint() {
    const { grain: strength } = this.looks.finishes[this.coat] || { grain: 1.4 };
    for (const [name, held] of this.boards) {
      const material = held.mesh.material;
      const picked = this.chosen.has(name);
      const faulty = this.marks.has(name);
      material.color.copy(woodColour(held.board, this.looks, this.coat));
      material.map = grain(strength);
      material.emissive.set(0);
      if (faulty) material.color.lerp(FAULT, 0.75);
      if (picked) material.emissive.copy(material.color.lerp(PICKED, 0.9)).multiplyScalar(0.45);
      held.edges.material.color.set(picked ? "#03264d" : faulty ? "#5a0c02" : "#33261a");
      const ghost = this.chosen.size > 0 && !this.chosen.has(name);
      material.transparent = ghost;
      material.opacity = ghost ? 0.35 : 1;
    }
    this.draw();
  }

  draw() {
    if (this.waiting) return;
    this.waiting = requestAnimationFrame(() => {
      this.waiting = 0;
      this.#render();
    });
  }

  #render() {
    const { clientWidth: width, clientHeight: height } = this.canvas;
    if (!width || !height) return;
    this.renderer.setPixelRatio(Math.min(2, window.devicePixelRatio));
    this.renderer.setSize(width, height, false);
    this.camera.aspect = width / height;
    const narrow = Math.min(1, this.camera.aspect);
    const round = (this.reach * (1 + 0.75 * this.apart)) / (Math.sin(HALF) * narrow);
    const spread = this.apart ? distanceToSee(this.#corners(), this.middle, this.orbit, HALF, this.camera.aspect) : 0;
    const away = Math.max(round, spread) * this.orbit.near;
    const { around, above } = this.orbit;
    this.camera.position.set(
      this.middle.x + away * Math.cos(above) * Math.sin(around),
      this.middle.y - away * Math.cos(above) * Math.cos(around),
      this.middle.z + away * Math.sin(above),
    );
    this.camera.near = away / 50;
    this.camera.far = away * 6;
    this.camera.lookAt(this.middle);
    this.camera.updateProjectionMatrix();
    this.renderer.render(this.scene, this.camera);
    this.drawn();
    this.canvas.dataset.drawn = String(1 + Number(this.canvas.dataset.drawn || 0));
  }

  #put(board) {
    const shape = JSON.stringify([board.outline, board.thickness]);
    let held = this.boards.get(board.name);
    if (!held) {
      // pushed back a hair, so that edges and seams do not flicker
      const material = new MeshLambertMaterial({
        flatShading: true, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, side: DoubleSide, clipShadows: true,
      });
      held = {
        mesh: new Mesh(new BufferGeometry(), material),
        edges: new LineSegments(new BufferGeometry(), new LineBasicMaterial({ color: "#33261a" })),
      };
      held.mesh.castShadow = held.mesh.receiveShadow = true;
      held.mesh.name = board.name;
      held.mesh.matrixAutoUpdate = false;
      held.mesh.add(held.edges);
      this.whole.add(held.mesh);
      this.boards.set(board.name, held);
    }
    if (held.shape !== shape) {
      const outline = new Shape(board.outline.map(([x, y]) => new Vector2(x, y)));
      held.mesh.geometry.dispose();
      held.edges.geometry.dispose();
      held.mesh.geometry = new ExtrudeGeometry(outline, { depth: board.thickness, bevelEnabled: false });
      layGrain(held.mesh.geometry, board.name);
      held.edges.geometry = new EdgesGeometry(held.mesh.geometry, 10);
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

  /** The present picture, drawn again at once so that it can be copied. */
  paper() {
    this.#render();
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

  /** What stands in the box: made anew only where it changed. */
  #stand() {
    if (!this.design) return;
    const { soil, obstacles, values } = this.design;
    const same = JSON.stringify([soil, obstacles, values.box.height.mm, this.grown]);
    if (same === this.stood) return;
    this.stood = same;
    dispose(this.others);
    this.others = standIns(this.design, this.grown);
    this.scene.add(this.others);
  }

  #measure() {
    if (!this.design) return;
    const low = new Vector3(Infinity, Infinity, Infinity);
    const high = low.clone().negate();
    for (const { board, home } of this.boards.values())
      for (const [x, y] of board.outline)
        for (const z of [0, board.thickness]) {
          const corner = new Vector3(x, y, z).applyMatrix4(home);
          low.min(corner);
          high.max(corner);
        }
    this.low = low;
    this.high = high;
    const seen = new Box3(low.clone(), high.clone());
    seen.expandByObject(this.others);
    seen.getCenter(this.middle);
    this.reach = Math.max(1, seen.max.distanceTo(seen.min) / 2);
    const panels = new Map();
    for (const { board, centre } of this.boards.values()) {
      const sum = panels.get(board.panel) || { sum: new Vector3(), count: 0 };
      sum.sum.add(centre);
      sum.count += 1;
      panels.set(board.panel, sum);
    }
    this.panels = new Map([...panels].map(([name, { sum, count }]) => [name, sum.divideScalar(count)]));
    const far = this.reach * 12;
    this.floor.scale.set(far, far, 1);
    this.floor.position.z = 0;
    this.sun.position.copy(this.middle).add(new Vector3(-0.9, -1.3, 2.2).multiplyScalar(this.reach));
    this.sun.target.position.copy(this.middle);
    const shadow = this.sun.shadow.camera;
    Object.assign(shadow, { left: -2.2 * this.reach, right: 2.2 * this.reach, top: 2.2 * this.reach, bottom: -2.2 * this.reach, near: 1, far: 8 * this.reach });
    shadow.updateProjectionMatrix();
    this.sun.shadow.normalBias = this.reach / 120;
    this.sun.shadow.bias = -0.0006;
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
    this.floor.visible = this.apart < 0.05;
    this.others.visible = this.apart < 0.05;
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
    const close = (prism, place) => {
      const face = planes && cutFace(prism, place, level);
      if (!face) return;
      const colour = new Color(prism.colour).lerp(new Color("#fff3d6"), prism.species ? 0.55 : 0.04);
      this.faces.add(new Mesh(face, new MeshBasicMaterial({ color: colour, side: DoubleSide })));
    };
    for (const one of this.others.children) {
      const { prism, home, root } = one.userData;
      if (root !== undefined) one.visible = !planes || root > level;
      if (!prism) continue;
      clip(one.material, planes);
      close(prism, home);
    }
    for (const { mesh, edges, board } of this.boards.values()) {
      for (const { material } of [mesh, edges]) clip(material, planes);
      close(board, mesh.matrix);
    }
  }

  #pick(x, y) {
    const { left, top, width, height } = this.canvas.getBoundingClientRect();
    const at = new Vector2(((x - left) / width) * 2 - 1, 1 - ((y - top) / height) * 2);
    const ray = new Raycaster();
    ray.setFromCamera(at, this.camera);
    const seen = (hit) => hit.object.isMesh && !(this.open > 0 && this.knife.distanceToPoint(hit.point) < 0);
    const hit = ray.intersectObjects(this.whole.children, false).find(seen);
    this.picked(hit ? hit.object.name : "");
  }
}
