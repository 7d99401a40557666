#!/usr/bin/env bash
# Installs the Debian packages that tests look through. Without root or apt
# the tests that need them print "not proven here: NAME".
set -uo pipefail
want=()
command -v pdftoppm >/dev/null || want+=(poppler-utils)
command -v strace >/dev/null || want+=(strace)
command -v chromium >/dev/null || want+=(chromium)
[ ${#want[@]} -eq 0 ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  apt-get update -qq >/dev/null 2>&1
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "${want[@]}" >/dev/null || exit 1
fi
exit 0
