// Wood as a function of place in a board, in the fragment shader: no texture, and rings run on over edges and ends.
//
// The same growth as the path-traced pictures have (rings round a pith, knots that push them aside, fibre), drawn from
// the board's name; noise and knots are the shader's own, so a board's knots are not where the path tracer has them.

import { Color, MeshStandardMaterial, SRGBColorSpace, Vector3, Vector4 } from "three";

const GLSL = /* glsl */ `
varying vec3 inBoard;
varying vec3 boardNormal;
varying vec3 onGround;
flat varying vec3 ofLog; // not blended between corners: numbers are drawn from it
uniform vec3 early, late, heart, knot, bark, coat;
uniform vec4 growth;   // ring width mm, late wood's share of a ring, heart's share, slope of knots
uniform vec3 unlike;   // drift between boards, fibre, knots a cell
uniform vec4 finish;   // cover, tint, grain, gloss
uniform vec4 mark;     // a colour laid over, and how much
uniform float grained; // 0: one even colour
uniform vec3 fading;   // where the ground fades (x, y) and how far out (mm); 0: nowhere

const float CELL = 300.0; // mm along the log in which a knot may lie

float dice(float n) {
  uint x = uint(int(n));
  x ^= x >> 16; x *= 0x7feb352du; x ^= x >> 15; x *= 0x846ca68bu; x ^= x >> 16;
  return float(x >> 8) / 16777216.0;
}
float dice(ivec3 p) {
  uint x = uint(p.x) * 1597334677u ^ uint(p.y) * 3812015801u ^ uint(p.z) * 2798796415u;
  x ^= x >> 15; x *= 0x846ca68bu; x ^= x >> 16;
  return float(x >> 8) / 16777216.0;
}
// noise from -1 to 1, once a unit
float noise(vec3 p) {
  ivec3 i = ivec3(floor(p));
  vec3 f = fract(p);
  f = f * f * (3.0 - 2.0 * f);
  vec4 low = vec4(dice(i), dice(i + ivec3(1, 0, 0)), dice(i + ivec3(0, 1, 0)), dice(i + ivec3(1, 1, 0)));
  i.z += 1;
  vec4 high = vec4(dice(i), dice(i + ivec3(1, 0, 0)), dice(i + ivec3(0, 1, 0)), dice(i + ivec3(1, 1, 0)));
  vec4 met = mix(low, high, f.z);
  vec2 row = mix(met.xz, met.yw, f.x);
  return 2.0 * mix(row.x, row.y, f.y) - 1.0;
}
float noise(float x) {
  float i = floor(x), f = fract(x);
  return 2.0 * mix(dice(i), dice(i + 1.0), f * f * (3.0 - 2.0 * f)) - 1.0;
}

/* What knots do at a point: how far rings are pushed out (mm), depth in a knot (1 its middle, 0 its edge), its ring. */
vec3 knots(vec3 p, vec2 fromPith, float seed) {
  vec3 found = vec3(0.0, -9.0, 0.0);
  float cell = floor(p.x / CELL);
  for (int i = -1; i <= 1; i++) {
    float place = (cell + float(i)) * 7.0 + seed * 911.0;
    if (dice(place) > unlike.z) continue;
    float x = (cell + float(i) + 0.1 + 0.8 * dice(place + 1.0)) * CELL;
    float turn = 6.2832 * dice(place + 2.0);
    float slope = growth.w * exp(0.7 * (dice(place + 3.0) - 0.5)), rise = 0.1 + 0.3 * dice(place + 4.0);
    vec2 out_ = vec2(cos(turn), sin(turn));
    float ahead = dot(fromPith, out_);
    if (ahead < 0.0) continue;
    float along = max(ahead, 1.0), aside = fromPith.y * out_.x - fromPith.x * out_.y;
    // the branch rises towards the crown as it goes out
    float off = length(vec2((p.x - x - rise * along) / 1.25, aside)), radius = slope * along + 1.0, far = off / radius;
    float push = far / 2.6 * 1.7;
    found.x = max(found.x, 0.9 * radius * exp(-push * push));
    if (1.0 - far > found.y) found.yz = vec2(1.0 - far, off / 1.1);
  }
  return found;
}

/* The wood's colour (linear) and, last, the height of its surface (mm); its roughness goes into rough. */
vec4 wood(vec3 p, out float rough) {
  float seed = ofLog.z;
  vec3 s = p + vec3(97.0, 53.0, 31.0) * seed;
  vec2 fromPith = p.yz - ofLog.xy;
  float pixel = length(fwidth(p));
  vec3 knotted = knots(p, fromPith, seed);
  float uneven = 3.2 * noise(s / vec3(260.0, 45.0, 45.0)) + 0.55 * noise(s / vec3(60.0, 11.0, 11.0));
  float radius = max(length(fromPith) + uneven + 0.006 * p.x - knotted.x, 0.0);
  float ring = radius / growth.x + 0.8 * noise(radius / (growth.x * 3.3) + seed * 31.0);
  float year = floor(ring), share = ring - year, blur = min(fwidth(ring), 0.9);
  float dark = smoothstep(1.0 - 1.35 * growth.y - 0.5 * blur, 1.0 - 0.35 * growth.y + 0.3 * blur, share)
    * (1.0 - smoothstep(0.965 - 0.6 * blur, 1.0, share));
  dark *= 0.55 + 0.45 * dice(year + seed * 77.0);
  dark = mix(dark, 0.26, smoothstep(0.35, 0.9, blur)); // rings finer than pixels are their mean
  float near = 1.0 - smoothstep(0.3, 1.6, pixel);
  float fibre = noise(s / vec3(60.0, 3.0, 3.0)) * (0.5 - 0.5 * smoothstep(1.0, 6.0, pixel));
  if (near > 0.0) fibre += near * noise(s / vec3(26.0, 0.9, 0.9));
  float drift = noise(s / vec3(210.0, 38.0, 60.0));
  float core = growth.z * (1.0 - smoothstep(6.0, 26.0, ring)) * (0.8 + 0.4 * drift);
  float board = 0.75 * unlike.x * (2.0 * dice(seed * 53.0 + 9.0) - 1.0), warm = 0.3 * unlike.x * (2.0 * dice(seed * 91.0 + 3.0) - 1.0);
  float light = 1.0 + board + unlike.x * drift + unlike.y * fibre * (0.6 + 0.8 * dark);
  vec3 colour = mix(mix(early, late, dark), heart, core * (1.0 - 0.25 * dark)) * light * vec3(1.0 + warm, 1.0, 1.0 - 1.4 * warm);
  float depth = knotted.y, fine = fwidth(knotted.z), rim = min(fwidth(depth), 0.5);
  if (depth > -0.35) {
    vec3 rings = knot * (1.0 + 0.28 * sin(6.2832 * knotted.z) * (1.0 - smoothstep(0.15, 0.5, fine)));
    colour = mix(colour, rings, smoothstep(0.0, 0.1, depth));
    float edge = depth / (0.12 + rim);
    colour = mix(colour, bark, 0.8 * exp(-edge * edge) / (1.0 + 3.0 * rim));
  }
  if (abs(boardNormal.x) > 0.5) colour *= 0.8; // ends drink light
  float lit = dot(colour, vec3(0.333)), mean = dot(mix(early, late, 0.3), vec3(0.333));
  vec3 stained = mix(colour, coat * (lit / mean), finish.y);
  colour = mix(stained, coat * (1.0 + finish.z * (0.1 * (lit / mean - 1.0) + 0.03 * fibre)), finish.x);
  rough = clamp(mix(0.82, 0.62, dark) - 0.35 * finish.w + 0.06 * fibre, 0.3, 1.0);
  float calm = 1.0 - smoothstep(-1.2, -0.3, depth);
  return vec4(colour, (0.35 * dark * (1.0 - smoothstep(0.15, 0.5, blur)) + 0.1 * fibre) * (1.0 - 0.7 * finish.x) * near * calm);
}

vec4 plain() {
  vec3 bare = mix(early, late, 0.3);
  return vec4(mix(mix(bare, coat, finish.y), coat, finish.x) * (1.0 + unlike.x * (dice(ofLog.z * 53.0 + 9.0) - 0.5)), 0.0);
}
`;

const VERTEX = [
  ["#include <common>", `#include <common>
attribute vec3 sawn;
varying vec3 inBoard; varying vec3 boardNormal; varying vec3 onGround; flat varying vec3 ofLog;`],
  ["#include <begin_vertex>", `#include <begin_vertex>
inBoard = position; boardNormal = normal; ofLog = sawn; onGround = (modelMatrix * vec4(position, 1.0)).xyz;`],
];

const FRAGMENT = [
  ["#include <common>", `#include <common>\n${GLSL}`],
  ["#include <color_fragment>", `#include <color_fragment>
float woodRough = 0.75;
vec4 woodHere = grained > 0.5 ? wood(inBoard, woodRough) : plain();
diffuseColor.rgb = mix(woodHere.rgb, mark.rgb, mark.a);
if (fading.z > 0.0) diffuseColor.a *= 1.0 - smoothstep(0.42 * fading.z, fading.z, length(onGround.xy - fading.xy));`],
  ["#include <roughnessmap_fragment>", "float roughnessFactor = woodRough;"],
  // the surface leans as its height does over the picture (Mikkelsen 2010, bump mapping by screen derivatives)
  ["#include <normal_fragment_maps>", `vec3 alongX = dFdx(-vViewPosition), alongY = dFdy(-vViewPosition);
vec3 acrossY = cross(alongY, normal), acrossX = cross(normal, alongX);
float turn = dot(alongX, acrossY);
vec3 slope = sign(turn) * (dFdx(woodHere.a) * acrossY + dFdy(woodHere.a) * acrossX);
normal = normalize(abs(turn) * normal - 0.5 * slope);`],
];

const laid = (shader, pieces) => pieces.reduce((text, [place, piece]) => text.replace(place, piece), shader);
const linear = (rgb) => new Vector3(...new Color().setRGB(...rgb, SRGBColorSpace).toArray());
const BARE = { colour: [1, 1, 1], cover: 0, tint: 0, grain: 1, gloss: 0.15 };
const KNOTS = 0.3; // of a log's knots (a metre) so many lie in a cell of it: those that reach a board

/** The uniforms of one wood under one finish, or bare. */
export function uniformsOf(look, coat = BARE) {
  const { colour, cover, tint, grain, gloss } = coat;
  return {
    ...Object.fromEntries(["early", "late", "heart", "knot", "bark"].map((name) => [name, { value: linear(look[name]) }])),
    coat: { value: linear(colour) },
    growth: { value: new Vector4(look.ring, look.late_share, look.heart_share, look.knot_radius / 100) },
    unlike: { value: new Vector3(look.drift, look.fibre, Math.min(1, KNOTS * look.knots)) },
    finish: { value: new Vector4(cover, tint, grain, gloss) },
  };
}

/** A wood that nobody described: as spruce grows, in the colour of the stock (sRGB, #rrggbb). */
function likeSpruce(spruce, colour) {
  const own = [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16) / 255);
  const tone = own.map((one, i) => one / (0.7 * spruce.early[i] + 0.3 * spruce.late[i]));
  const toned = (rgb) => rgb.map((one, i) => Math.min(1, one * tone[i]));
  return { ...spruce, ...Object.fromEntries(["early", "late", "heart", "knot", "bark"].map((name) => [name, toned(spruce[name])])) };
}

/** All woods of a page; one wood under one finish keeps one set of uniforms. */
export class Woods {
  /** `looks`: `woods` and `finishes` as the server tells them. */
  constructor(looks) {
    this.looks = looks;
    this.known = new Map();
    this.grained = { value: 1 };
  }

  /** A material for one board; `dress` says of what. */
  material(settings = {}) {
    const found = new MeshStandardMaterial(settings);
    found.userData = { mark: { value: new Vector4(0, 0, 0, 0) }, fading: { value: new Vector3() }, worn: null };
    found.customProgramCacheKey = () => "wood";
    found.onBeforeCompile = (shader) => {
      found.userData.shader = shader;
      Object.assign(shader.uniforms, found.userData.worn, { mark: found.userData.mark, fading: found.userData.fading, grained: this.grained });
      shader.vertexShader = laid(shader.vertexShader, VERTEX);
      shader.fragmentShader = laid(shader.fragmentShader, FRAGMENT);
    };
    return found;
  }

  /** Say which wood a material is, and what is on it: a finish's name, or "weathered". */
  dress(material, species, colour, coat) {
    this.wear(material, this.#worn(species, colour, coat));
  }

  /** Give a material its uniforms, as `uniformsOf` makes them. */
  wear(material, worn) {
    material.userData.worn = worn;
    if (material.userData.shader) Object.assign(material.userData.shader.uniforms, worn);
  }

  #worn(species, colour, coat) {
    const { woods, finishes } = this.looks;
    const key = [species in woods ? species : colour, coat].join();
    if (!this.known.has(key)) {
      const look = coat === "weathered" ? woods.weathered : woods[species] || likeSpruce(woods.spruce, colour);
      this.known.set(key, uniformsOf(look, { ...BARE, ...finishes[coat] }));
    }
    return this.known.get(key);
  }
}

/** The look of the deck that a box stands on: wood that years outdoors have greyed; judged by eye. */
export const DECK = {
  early: [0.66, 0.645, 0.615], late: [0.53, 0.51, 0.48], heart: [0.6, 0.575, 0.54], knot: [0.4, 0.37, 0.34], bark: [0.32, 0.29, 0.27],
  ring: 3.4, late_share: 0.36, heart_share: 0.2, knot_radius: 8.5, drift: 0.07, fibre: 0.14, knots: 1.2,
};
