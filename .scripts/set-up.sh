#!/usr/bin/env bash
# What the tests need beside npm packages: a real broker, a real InfluxDB and a real browser.
# Installs what is missing through apt where that is possible, else says in one sentence what to install.
set -euo pipefail
missing=()
command -v mosquitto >/dev/null || [ -x /usr/sbin/mosquitto ] || missing+=(mosquitto)
command -v mosquitto_pub >/dev/null || missing+=(mosquitto-clients)
command -v chromium >/dev/null || missing+=(chromium)
command -v influxd >/dev/null || missing+=(influxdb)
[ ${#missing[@]} -eq 0 ] && exit 0
if command -v apt-get >/dev/null && [ "$(id -u)" = 0 ]; then
  export DEBIAN_FRONTEND=noninteractive
  apt-get update -qq
  apt-get install -y -qq "${missing[@]}" >/dev/null
else
  echo "The tests need these Debian packages: ${missing[*]}. Install them (sudo apt-get install ${missing[*]}) and run npm test again." >&2
  exit 1
fi
