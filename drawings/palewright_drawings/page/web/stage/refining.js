// A picture at rest is the mean of many: each has another place of the sun, another patch of the sky, a part of a pixel.

import {
  AddEquation, CustomBlending, FloatType, HalfFloatType, Mesh, NoBlending, NoToneMapping, OneFactor, OrthographicCamera, PlaneGeometry, Scene,
  ShaderMaterial, WebGLRenderTarget,
} from "three";
import { spread } from "./light.js";

const FIRST = 8; // samples under which a sum is rougher than the one picture with its soft shadow
const BRIGHTEST = 24; // a spark in one sample is no brighter: it would stand out of the mean for long
const PASS = { depthTest: false, depthWrite: false, transparent: true };
const VERTEX = "varying vec2 at; void main() { at = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }";

const pass = (fragmentShader, blending) =>
  new ShaderMaterial({ uniforms: { picture: { value: null }, share: { value: 1 } }, vertexShader: VERTEX, fragmentShader, ...PASS, ...blending });

export class Refining {
  constructor(renderer) {
    this.renderer = renderer;
    this.eye = new OrthographicCamera(-1, 1, 1, -1, 0, 1);
    const head = "varying vec2 at; uniform sampler2D picture; uniform float share;";
    this.adds = this.#sheet(pass(`${head} void main() { gl_FragColor = min(texture2D(picture, at), vec4(vec3(${BRIGHTEST}.0), 1.0)); }`, {
      blending: CustomBlending, blendEquation: AddEquation, blendSrc: OneFactor, blendDst: OneFactor, toneMapped: false,
    }));
    this.shows = this.#sheet(pass(`${head} void main() {
      vec4 mean = texture2D(picture, at) * share;
      gl_FragColor = vec4(mean.rgb / max(mean.a, 1e-3), mean.a);
      #include <tonemapping_fragment>
      #include <colorspace_fragment>
      gl_FragColor.rgb *= gl_FragColor.a;
    }`, { blending: NoBlending }));
  }

  #sheet(material) {
    const sheet = new Mesh(new PlaneGeometry(2, 2), material);
    sheet.frustumCulled = false;
    return new Scene().add(sheet);
  }

  /** Add the sample of a number to those before it, and show the mean now and then, or where it is the `last`. */
  add(number, last, scene, camera) {
    const { renderer } = this;
    const [width, height] = this.#targets();
    const [u, v] = spread(number);
    camera.setViewOffset(width, height, u - 0.5, v - 0.5, width, height);
    const mapping = renderer.toneMapping;
    renderer.toneMapping = NoToneMapping;
    renderer.setRenderTarget(this.one);
    renderer.clear();
    renderer.render(scene, camera);
    camera.clearViewOffset();
    renderer.autoClear = false;
    renderer.setRenderTarget(this.sum);
    if (!number) renderer.clear();
    this.#draw(this.adds, this.one, 1);
    renderer.setRenderTarget(null);
    renderer.toneMapping = mapping;
    const shows = number + 1 >= FIRST && ((number + 1) % 4 === 0 || last);
    if (shows) {
      renderer.clear();
      this.#draw(this.shows, this.sum, 1 / (number + 1));
    }
    renderer.autoClear = true;
  }

  #draw(sheet, { texture }, share) {
    const { uniforms } = sheet.children[0].material;
    uniforms.picture.value = texture;
    uniforms.share.value = share;
    this.renderer.render(sheet, this.eye);
  }

  /** Targets as large as the picture. */
  #targets() {
    const { width, height } = this.renderer.domElement;
    if (this.one?.width !== width || this.one.height !== height) {
      this.end();
      this.one = new WebGLRenderTarget(width, height, { type: HalfFloatType });
      this.sum = new WebGLRenderTarget(width, height, { type: FloatType, depthBuffer: false });
    }
    return [width, height];
  }

  /** Give back what the targets hold. */
  end() {
    this.one?.dispose();
    this.sum?.dispose();
    this.one = this.sum = null;
  }
}
