// How much a picture may cost on this machine: a drag has to follow the hand without a graphics card too.

const SMOOTH = 40; // ms of a frame above which a drag is felt to lag: judgement
const SEEN = 5; // frames that a judgement is made from: one slow frame alone is a program that starts
const BY_PROCESSOR = /swiftshader|llvmpipe|softpipe|software|basic render/i; // what drivers without a card call themselves

/** All that a picture can have: while it moves, and in samples of light once it rests. */
export const FULL = { moving: { pixels: 1, grain: true, plants: true }, rest: 160, samples: 48, pause: 0 };

/** Without a card: half the pixels, plain wood and no plants while it moves; rest comes later, and leaves half the time to others. */
export const LIGHT = { moving: { pixels: 0.5, grain: false, plants: false }, rest: 350, samples: 16, pause: 1 };

/** What a picture may cost, by the driver's name and what frames took while the picture moved (ms, the latest last). */
export function levelOf(driver, frames) {
  if (BY_PROCESSOR.test(driver)) return LIGHT;
  const sorted = frames.slice(-SEEN).sort((a, b) => a - b);
  return sorted.length === SEEN && sorted[SEEN >> 1] > SMOOTH ? LIGHT : FULL;
}

/** What the driver of a context calls itself. */
export function driverOf(gl) {
  const told = gl.getExtension("WEBGL_debug_renderer_info");
  return String(gl.getParameter(told ? told.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
}

/** Calls back once all that was asked of the graphics card is drawn, with the time (ms) it took. */
export function whenDrawn(gl, begun, done) {
  const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0);
  gl.flush();
  const look = () => {
    const under = fence && !gl.isContextLost() && gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.UNSIGNALED;
    if (under) return requestAnimationFrame(look);
    gl.deleteSync(fence);
    done(performance.now() - begun);
  };
  requestAnimationFrame(look);
}
