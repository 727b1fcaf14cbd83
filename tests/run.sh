#!/bin/sh
# Builds and runs every test: once as released, once under the address and undefined-behaviour sanitizers.
set -eu
cd "$(dirname "$0")/.."
sh .ci/setup.sh test
echo "Building and testing (RelWithDebInfo) in build/"
sh .ci/build.sh build RelWithDebInfo
ctest --test-dir build --output-on-failure --parallel 2
echo "Building and testing under the sanitizers in build-sanitize/"
sh .ci/build.sh build-sanitize Sanitize -DWARNINGS_ARE_ERRORS=ON
ctest --test-dir build-sanitize --output-on-failure --parallel 2
