"""The page: a box seen, judged and changed while a slider moves; this computer only.

``server`` (aiohttp; a table of files and of tasks, no path from a request), ``request_guard``
(host, origin, sizes), ``listening`` (which also thins out links), ``jobs`` (what workers do). The
browser's side is ``web/`` with three.js; ``npm ci && npm run build`` in that folder bundles it
into ``static/page.js``, which is committed, so that an installation needs no Node; a test ties the
bundle to its sources.

A first plan is sent at once and its proof follows; the better of both is shown. ``start_data``
holds all names that the page may ask for. What is begun (a variant, a link, a file) and cannot be
shown is given up: the box before stays, or a shipped one comes. The address holds the settings that
were shown last, an opened file's text among them. Files are made of ``judged()``, the box as it is
set once all lumber is judged; a change ends them. A kept box asks under a page name of its own.
The stage knows the rest of the page by ``web/desk.js`` alone. A settled price is asked for beside
the plan and stands beside settled ones only (``shown.rough``, ``shown.settled``). A slider has one
scale and is geared down to the shop's step a pixel. The shelf is in ``localStorage``, steps back
over a reload are in ``sessionStorage``. Printing copies the picture to a 2D canvas before the
browser prints, since WebGL prints blank.

Without a graphics card Chromium puts every frame together through an emulated one, 50 to 100 ms of
a processor; the goals of ``tests/benchmarks/bench_page.py`` are read without that. Writing to an
element what stands there already (``value``, ``hidden``) costs the browser a layout each:
``elements.put`` writes what differs (19 layouts a move before, 5 after).

``web/stage`` is what the picture is made of: wood is a function of place in the board (a shader;
its growth comes from ``rendering.wood``), plants and the pot are ``rendering``'s own meshes
(``jobs.packed_meshes``). At rest the picture is a mean of samples, each with another sun and patch
of sky; who asks the browser for less motion, as the tests do, gets one that stays.
``pace.levelOf`` says what a machine can bear; frames follow one another by a fence, so that a slow
one queues none. The ground is a little clear: what is opaque in the canvas is box, plants or pot.
Handles know sizes by ``desk`` alone; ``stage/tracks.js`` asks what lies along a key while a hand is
near its handle or slider (``jobs.size_tracks``: coarse first), and keeps it by all other settings.
Once all is worked out and the picture has rested, ``stage/tracing.js`` asks for the same view path-
traced (``jobs.traced_views``, a lane of its own at the lowest priority) and lays it over it;
the next ``Viewer.draw`` ends it, and with it the worker that traces.

Two toolkits were tried. NiceGUI 3.18: 51 packages, 105 MB, where aiohttp comes with CadQuery and
the front end is one bundle of 0.6 MB; one small model took 36 ms at the median there and 10 with
ours. Ours keeps boards that did not change, draws on demand and runs under a content policy without
eval; a browser test drives it like any page.
"""
