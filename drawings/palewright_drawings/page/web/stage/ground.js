// What a box stands on: a deck that fades into the page, and the shade where box and deck meet.

import {
  BufferAttribute, BufferGeometry, CustomBlending, Group, MaxEquation, Mesh, OneFactor, OneMinusSrcAlphaFactor, PlaneGeometry, ShaderMaterial,
  SrcAlphaFactor, Vector4,
} from "three";
import { drawn, prism } from "./prisms.js";
import { DECK, uniformsOf } from "./wood.js";

const [PITCH, WIDTH, THICK, EASE] = [143, 138, 24, 2.5]; // mm: decking of 5-1/2 in with gaps: common practice, no source
const OUT = 3.2; // in reaches of the frame, how far the deck goes before it has faded
const CLEAR = 0.85; // some of the page's own light or dark comes through, so that it sits in either theme
const SHADE = { round: 46, under: 18, most: 0.5 }; // mm and share: judged by eye

export class Ground extends Group {
  constructor(woods) {
    super();
    // where planks lie one behind the other they are no less clear
    const blending = { blending: CustomBlending, blendSrc: SrcAlphaFactor, blendDst: OneMinusSrcAlphaFactor, blendEquationAlpha: MaxEquation };
    const material = woods.material({ transparent: true, opacity: CLEAR, ...blending, blendSrcAlpha: OneFactor, blendDstAlpha: OneFactor });
    woods.wear(material, uniformsOf(DECK));
    this.deck = new Mesh(new BufferGeometry(), material);
    this.deck.receiveShadow = true;
    this.box = { value: new Vector4() };
    this.shade = new Mesh(new PlaneGeometry(1, 1), new ShaderMaterial({
      transparent: true, depthWrite: false, uniforms: { box: this.box },
      vertexShader: "varying vec2 at; void main() { vec4 here = modelMatrix * vec4(position, 1.0); at = here.xy; gl_Position = projectionMatrix * viewMatrix * here; }",
      fragmentShader: `varying vec2 at; uniform vec4 box; void main() {
        vec2 over = abs(at - box.zw) - box.xy;
        float away = length(max(over, 0.0)) + min(max(over.x, over.y), 0.0);
        gl_FragColor = vec4(0.05, 0.04, 0.03, ${SHADE.most} * exp(-pow(max(away + ${SHADE.under}.0, 0.0) / ${SHADE.round}.0, 1.3)));
      }`,
    }));
    this.shade.position.z = 0.6; // mm over the deck: no surface shares a plane with another
    this.shade.renderOrder = 1;
    this.add(this.deck, this.shade);
  }

  /** Lay a deck for a frame that reaches so far (mm). */
  lay(reach) {
    const out = (this.reach = OUT * reach); // mm
    this.deck.material.userData.fading.value.z = out;
    const rows = Math.ceil(out / PITCH);
    const planks = [];
    for (let row = -rows; row <= rows; row++) {
      const half = Math.sqrt(Math.max(0, out * out - (row * PITCH) ** 2));
      if (half < PITCH) continue;
      const [y, deep] = [row * PITCH - WIDTH / 2, drawn(`deck${row}`)];
      const sides = [[-half, y], [half, y], [half, y + WIDTH], [-half, y + WIDTH]];
      planks.push(prism(sides, THICK, [y + (20 + 60 * deep), THICK + 30 + 60 * deep, 200 + row], EASE).translate(0, 0, -THICK));
    }
    this.deck.geometry.dispose();
    this.deck.geometry = joined(planks);
  }

  /** Say where the box stands (mm), for the shade; `shift` moves deck and fading with the frame. */
  under(low, high, shift) {
    this.deck.position.set(shift.x, shift.y, 0);
    this.deck.material.userData.fading.value.setX(shift.x).setY(shift.y);
    const [width, depth] = [high.x - low.x, high.y - low.y];
    this.shade.position.setX((low.x + high.x) / 2).setY((low.y + high.y) / 2);
    this.shade.scale.set(width + 8 * SHADE.round, depth + 8 * SHADE.round, 1);
    this.box.value.set(width / 2, depth / 2, this.shade.position.x, this.shade.position.y);
  }
}

function joined(geometries) {
  const found = new BufferGeometry();
  for (const name of ["position", "normal", "sawn"]) {
    const arrays = geometries.map((one) => one.attributes[name].array);
    const whole = new Float32Array(arrays.reduce((sum, { length }) => sum + length, 0));
    let at = 0;
    for (const one of arrays) { whole.set(one, at); at += one.length; }
    found.setAttribute(name, new BufferAttribute(whole, 3));
  }
  return found;
}
