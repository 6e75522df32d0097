"""Path-traced pictures of a box: wood made from logs, scenes made by code, cameras that frame it.

Millimetres throughout; the box stands on z = 0 with its front towards -y, as in the model. The
renderer is loaded only in ``tracer.path_tracer``; all else is arithmetic on arrays. ``wood`` has
logs (rings and knots as functions of place), textures and eased boards, opened for screw heads.

Meshes go to the tracer through files: one handed over from Python stays ten times slower to look at
(measured with mitsuba 3.9). Many small lamps are one emitter: paths pick emitters evenly. Places in
a picture count from its top, as the tracer's do. A scene gets the pixels a mm of its box: floors
and needles finer than pixels are made coarser by it, so that a preview shows what the large picture
will. ``tests/benchmarks/bench_pictures.py`` compares a picture with tracer, guides and denoiser.
"""
