#!/usr/bin/env bash
# Installs the Debian packages that tests look through. Without root or apt
# the tests that need them print "not proven here: NAME".
set -uo pipefail
want=()
command -v pdftoppm >/dev/null || want+=(poppler-utils)
command -v strace >/dev/null || want+=(strace)
command -v chromium >/dev/null || want+=(chromium)
lean=chromium-headless-shell
command -v $lean >/dev/null && lean=
[ "$(id -u)" = 0 ] && command -v apt-get >/dev/null || exit 0
[ ${#want[@]} -eq 0 ] && [ -z "$lean" ] && exit 0
apt-get update -qq >/dev/null 2>&1
export DEBIAN_FRONTEND=noninteractive
[ ${#want[@]} -eq 0 ] || apt-get install -y -qq "${want[@]}" >/dev/null || exit 1
# The same browser without its windows takes a third less of the machine; a
# Debian that has no such package does with the whole one.
[ -z "$lean" ] || apt-get install -y -qq $lean >/dev/null 2>&1
exit 0
