#!/usr/bin/env bash
# Reads job sheets with other people's programs: .ci/check-sheets.sh FOLDER...
# Each folder holds what `hulltent plan` and `hulltent sheet` wrote with the same --out.
# Where the tools cannot be had it says so and does nothing, but fails where CI is set.
set -euo pipefail
home=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

give_up() {
  echo "sheets not read by others: $1"
  [ -z "${CI:-}" ] && exit 0
  exit 1
}

for tool in pdfinfo pdftotext pdftoppm pdffonts pdfimages; do
  command -v "$tool" >/dev/null 2>&1 || missing=yes
done
if [ -n "${missing:-}" ]; then
  { apt-get update -qq && apt-get install -y -qq poppler-utils; } >/dev/null 2>&1 ||
    give_up "poppler-utils is not to be had"
fi
python3 -c 'import ensurepip, venv' >/dev/null 2>&1 ||
  { apt-get update -qq && apt-get install -y -qq python3-venv; } >/dev/null 2>&1 ||
  give_up "python3-venv is not to be had"
python3 -m venv "$work/venv" || give_up "no Python environment can be made"
"$work/venv/bin/pip" install --quiet --disable-pip-version-check ezdxf==1.4.5 2>"$work/pip" ||
  give_up "ezdxf is not to be had"

# Runs a reader and fails on anything that it says on standard error.
quiet() {
  "$@" 2>"$work/said" || { cat "$work/said"; echo "$* failed"; exit 1; }
  if [ -s "$work/said" ]; then
    cat "$work/said"
    echo "$* has complaints"
    exit 1
  fi
}

check_pdf() {
  local pdf=$1/sheet.pdf pages
  quiet pdfinfo "$pdf" >"$work/info"
  pages=$(sed -n 's/^Pages: *//p' "$work/info")
  [ "${pages:-0}" -gt 0 ] || { echo "$pdf has no pages"; exit 1; }
  if grep -qE '^(CreationDate|ModDate):' "$work/info"; then
    echo "$pdf is dated"
    exit 1
  fi
  # From the third line on, one font each: embedded and subset.
  quiet pdffonts "$pdf" >"$work/fonts"
  awk 'NR > 2 { fonts++; if ($0 !~ / yes yes yes /) bad = 1 } END { exit bad || !fonts }' "$work/fonts" ||
    { cat "$work/fonts"; echo "$pdf: a font is not embedded, subset and readable"; exit 1; }
  quiet pdfimages -list "$pdf" >"$work/images"
  [ "$(wc -l <"$work/images")" -le 2 ] || { echo "$pdf holds pictures"; exit 1; }
  rm -f "$work"/page-*
  quiet pdftoppm -r 40 -gray "$pdf" "$work/page"
  local texts=()
  for ((page = 1; page <= pages; page++)); do
    quiet pdftotext -raw -f "$page" -l "$page" "$pdf" "$work/page-$page.txt"
    texts+=("$work/page-$page.txt")
  done
  for picture in "$work"/page-*.pgm; do
    # More than the header and one value: something was drawn.
    [ "$(tail -c +20 "$picture" | fold -w1 | sort -u | wc -l)" -gt 1 ] ||
      { echo "$pdf has a blank page"; exit 1; }
  done
  quiet python3 "$home/check_pages.py" "$1" "${texts[@]}"
}

for folder in "$@"; do
  check_pdf "${folder%/}"
  quiet "$work/venv/bin/python" "$home/check_dxf.py" "${folder%/}/frame.dxf" "${folder%/}/plan.json"
done
