# firn: what is usually wanted. The build itself is meson's (meson.build).
#
#   make demo    installs what is missing, builds, runs the main job on the invented laboratory
#   make check   installs what is missing, builds with gcc and clang, runs every test
#   make build   leaves the program at build/firn
#   make bench   compares with a general-purpose tool, as ratios; make soak runs the long tests

.PHONY: build check demo bench soak packages clean

build: packages
	@test -f build/build.ninja || meson setup build > /dev/null
	@ninja -C build --quiet

check: packages
	@/usr/bin/python3 tools/check.py

demo: build
	@/usr/bin/python3 tools/demo.py build/firn

bench: build
	@/usr/bin/python3 benchmarks/bench.py

soak: build
	@/usr/bin/python3 tools/soak_simulation.py
	@/usr/bin/python3 tools/soak_book.py
	@/usr/bin/python3 tools/soak.py

packages:
	@sh tools/install-packages

clean:
	rm -rf build build-clang build-coverage demo
