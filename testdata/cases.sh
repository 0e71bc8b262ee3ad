#!/usr/bin/env bash
# Cases that once went wrong, tried on the program as a user would. Prints a line for each
# that goes wrong again, and nothing else.
#
#	testdata/cases.sh PERCH
set -u
perch=$(realpath "$1")
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
cd "$dir" || exit 1

fails() { printf '%s\n' "$*"; }
# said runs a command within a minute of processor time and keeps its exit code and what it
# wrote; exits, tells, silent, there and gone hold that to what is wanted of a case.
said() { (ulimit -t 60; exec timeout 600 "$@") >out.txt 2>err.txt; code=$?; cat out.txt err.txt >all.txt; }
exits() { [ "$code" = "$1" ] || fails "$2: exit $code, want $1: $(tail -2 all.txt | tr '\n' ' ')"; }
tells() { grep -qE -- "$1" all.txt || fails "$2: does not say /$1/: $(head -3 all.txt | tr '\n' ' ')"; }
silent() { ! grep -qE -- "$1" all.txt || fails "$2: says /$1/"; }
there() { [ -e "$1" ] || fails "$2: no $1"; }
gone() { [ ! -e "$1" ] || fails "$2: $1 is there"; }

# plate writes a design of one plate: its name, its width, further lines.
plate() {
  local name=$1
  cat >"$name.perch" <<END
design "$1" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
param wide: length = $2
size small: wide = $2
panel plate() {
  face base on level(0mm) { outline rect(wide, 60mm) }
}
part $1 of steel = plate() loose
END
  shift 2
  printf '%s\n' "$@" >>"$name.perch"
}

# two designs into one folder
plate a 80mm; plate b 90mm
said "$perch" build a.perch; exits 0 'first design'
said "$perch" build b.perch; exits 0 'second design'
there out/a/small/a.dxf 'two designs, one folder'; there out/b/small/b.dxf 'two designs, one folder'
said "$perch" build --out o a.perch; there o/a/small/a.dxf '--out'
"$perch" build - --out o <a.perch >all.txt 2>&1; there o/stdin/small/a.dxf 'from standard input'
mkdir -p else && cp b.perch else/a.perch
said "$perch" build else/a.perch; exits 1 'same name from elsewhere'; tells 'else/a.perch' 'same name from elsewhere'
# a stale size of its own is removed and said, what is not its own stays
echo mine >out/a/small/mine.dxf
sed -i 's/size small/size tiny/' a.perch
said "$perch" build a.perch; exits 0 'stale size'; tells 'small' 'stale size'; there out/a/small/mine.dxf 'a file of the user'; gone out/a/small/a.dxf 'stale size'
mkdir -p u/b/small; echo mine >u/b/small/mine.dxf
said "$perch" build b.perch --out u; there u/b/small/mine.dxf 'a folder without a list'
mkdir -p v/b/small; echo mine >v/b/small/b.dxf
said "$perch" build b.perch --out v; exits 1 'a name that is taken'; tells '--replace' 'a name that is taken'; grep -q mine v/b/small/b.dxf || fails 'a name that is taken: replaced'
# outputs over designs
cp b.perch keep; said "$perch" diff a.perch b.perch --html b.perch; cmp -s b.perch keep || fails 'diff --html over a design'
said "$perch" sweep b.perch wide=80mm..90mm:5mm --csv b.perch; cmp -s b.perch keep || fails 'sweep --csv over a design'
printf 'design   "X"   in millimetres\n' >ro.perch; chmod 444 ro.perch
[ "$(id -u)" = 0 ] || { said "$perch" fmt ro.perch; exits 1 'fmt of a read-only file'; }
# same bytes from any folder
said "$perch" build b.perch --out p1; (mkdir -p sub && cd sub && "$perch" build ../b.perch --out ../p2 >/dev/null 2>&1)
cmp -s p1/b/small/build.json p2/b/small/build.json || fails 'build.json holds a path as typed'
# special files
mkfifo pipe.perch; said timeout 10 "$perch" check pipe.perch; [ "$code" -lt 124 ] || fails 'a FIFO as design hangs'; [ "$code" != 0 ] || fails 'a FIFO as design is read'
ln -s b.perch link.perch; said "$perch" check link.perch; exits 0 'a symlink as design'
"$perch" show b.perch >/dev/full 2>err.txt; [ $? = 2 ] || fails 'output to a full device'
"$perch" check b.perch --json >/dev/full 2>err.txt; [ $? = 2 ] || fails 'JSON to a full device'
# names that collide as files
cat >col.perch <<'END'
design "Col" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate(wide: length) {
  face base on level(0mm) { outline rect(wide, 60mm) }
}
part Leg of steel = plate(40mm) loose
part leg of steel = plate(50mm) loose
part picture of steel = plate(60mm) loose
part CON of steel = plate(70mm) loose
END
said "$perch" build col.perch; exits 1 'colliding names'; tells 'Leg|leg' 'colliding names'; gone out/col 'colliding names'

# two returns that share a plane
cat >self.perch <<'END'
design "Self" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel box() {
  face floor on level(0mm) { outline rect(100mm, 100mm) }
  face a off floor.left up 90deg { outline strip(40mm) }
  face b off floor.right up 90deg { outline strip(40mm) }
  face c off a.outer up 90deg { outline strip(60mm) }
  face d off b.outer up 90deg { outline strip(60mm) }
}
part box of steel = box()
END
said "$perch" check self.perch; tells 'P5005' 'returns that share a plane'
# coated sheet that is welded
cat >zinc.perch <<'END'
design "Zinc" in millimetres
stock tin = sheet(galvanized, 1.5mm)
panel plate(on_it: plane) {
  face base on on_it { outline rect(160mm, 80mm) }
}
part low of tin = plate(level(0mm))
part high of tin = plate(low.base.over)
join it = low.base to high.base by plug(10mm, count: 2)
END
said "$perch" check zinc.perch; tells 'zinc' 'welding coated sheet'
# messages
cat >m.perch <<'END'
design "M" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
param height: length = 40mm
panel plate() {
  face base on level(0mm) { outline rect(80mm, 2 height) }
}
part plate of steel = plate() loose
END
said "$perch" check m.perch; exits 1 '2 height'; silent 'write 2mm|write `2mm`' '2 height'
sed -i 's/2 height/height/' m.perch
said "$perch" build m.perch --set heigth=50mm; exits 1 '--set of no name'; tells 'height' '--set of no name'
said "$perch" build a.perch --size tinny; exits 1 'a size of no name'; tells 'tiny' 'a size of no name'
said "$perch" check b.perch; exits 0 'no mistakes'; tells 'no mistakes' 'no mistakes'
# at most fifty diagnostics
{ echo 'design "Many" in millimetres'; for i in $(seq 120); do echo "let l$i = nothing$i"; done; } >many.perch
said "$perch" check many.perch; [ "$(grep -c '^error' all.txt)" -le 51 ] || fails "many mistakes: $(grep -c '^error' all.txt) told"; tells '70' 'many mistakes'
# work without a bound
{ echo 'design "Deep" in millimetres'; echo 'param w: length in 1mm..9mm'; echo 'let f0(x: length): length = x'
  for i in $(seq 24); do echo "let f$i(x: length): length = f$((i - 1))(x) + f$((i - 1))(x)"; done; echo 'rule f24(w) = 40mm'; } >deep.perch
said "$perch" check deep.perch; [ "$code" -lt 124 ] || fails 'nested lets do not end'
{ echo 'design "Chain" in millimetres'; echo 'let a0 = 1mm'; for i in $(seq 24); do echo "let a$i = a$((i - 1)) + a$((i - 1))"; done; } >chain.perch
said "$perch" check chain.perch; exits 0 'a chain of lets'
cat >holes.perch <<'END'
design "Holes" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate() {
  face base on level(0mm) {
    outline rect(1100mm, 1100mm)
    cut hole[i in 1..100, k in 1..100] = circle(6mm) at (10mm * i - 505mm, 10mm * k - 505mm)
  }
}
part plate of steel = plate() loose
END
said "$perch" build holes.perch; [ "$code" -lt 124 ] || fails '10,000 holes do not end'
cat >crowd.perch <<'END'
design "Crowd" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel plate() {
  face base on level(0mm) { outline rect(40mm, 40mm) }
}
part plate[i in 1..5000] of steel = plate() loose
END
said "$perch" check crowd.perch; [ "$code" -lt 124 ] || fails '5,000 parts in one place do not end'
said "$perch" nest 'b.perch:small*1000' --limit 5s --out n; [ "$code" -lt 124 ] || fails 'nest does not keep its limit'
# remnants
printf '%s\n' 0 SECTION 2 HEADER 9 '$INSUNITS' 70 1 0 ENDSEC 0 SECTION 2 ENTITIES 0 LWPOLYLINE 8 0 90 4 70 1 \
  10 0 20 0 10 10 20 0 10 10 20 5 10 0 20 5 0 ENDSEC 0 EOF >rem.dxf
said "$perch" nest b.perch:small --remnant rem.dxf=mild_steel,1.5 --out n2; exits 0 'a remnant in inches'; tells '1[0-9][0-9] × 12[67] mm left over' 'a remnant in inches'
# letters of other alphabets
printf 'design "L" in millimetres\nparam wide: length = 3mm\nlet x = w\xd1\x96de\n' >cyr.perch
said "$perch" check cyr.perch; exits 1 'a letter of another alphabet'; tells 'CYRILLIC|Cyrillic|looks like' 'a letter of another alphabet'
# text without height
plate t 80mm 'mark name in t.base = text("A", height: 0mm)'
said "$perch" check t.perch; exits 1 'text without height'; tells 'height' 'text without height'
# the nearest stocked rivet
cat >riv.perch <<'END'
design "Riv" in millimetres
stock tin = sheet(mild_steel, 0.9mm)
panel plate(on_it: plane) {
  face base on on_it { outline rect(160mm, 80mm) }
}
part low of tin = plate(level(0mm))
part high of tin = plate(low.base.over)
join it = low.base to high.base by rivet(3.2mm, count: 2)
END
said "$perch" check riv.perch; exits 0 '3.2 in 0.9 + 0.9'; silent 'P6017' '3.2 in 0.9 + 0.9'
# an edge that is bent already
cat >bent.perch <<'END'
design "Bent" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel tray() {
  face base on level(0mm) { outline rect(240mm, 80mm) }
  face a off base.left up 90deg { outline strip(20mm) }
  face b off base.left up 90deg { outline strip(20mm) }
}
part tray of steel = tray()
END
said "$perch" check bent.perch; exits 1 'an edge bent twice'; silent 'needs more than 1\.3' 'an edge bent twice'; tells 'already|bent|lie' 'an edge bent twice'
# one bad radius
cat >rad.perch <<'END'
design "Rad" in millimetres
stock steel = sheet(mild_steel, 1.5mm, radius: 0.2mm)
panel tray() {
  face base on level(0mm) { outline rect(240mm, 80mm) }
  face wall[s in [base.left, base.right, base.top, base.bottom]] off s up 90deg { outline strip(20mm) }
}
part tray[i in 1..3] of steel = tray() loose
END
said "$perch" check rad.perch; [ "$(grep -c '^warning.P60' all.txt)" -le 3 ] || fails "one bad radius: $(grep -c '^warning' all.txt) warnings"; grep -A4 '^warning' all.txt | grep -q 'radius: 0.2mm' || fails 'one bad radius: not told where it is written'
# an edge, a plane
cat >edge.perch <<'END'
design "Edge" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel tray() {
  face base on level(0mm) { outline [(0mm, 0mm), (80mm, 0mm), (80mm, 30mm), (0mm, 30mm)] }
  face lip off base.top up 90deg { outline strip(20mm) }
}
part tray of steel = tray()
END
said "$perch" check edge.perch; exits 1 'no edge of that name'; tells 'edge top' 'no edge of that name'
cat >up.perch <<'END'
design "Up" in millimetres
stock steel = sheet(mild_steel, 1.5mm)
panel tray() {
  face base on upright(x: 30mm) { outline rect(30mm, 40mm) }
}
part tray of steel = tray()
END
said "$perch" check up.perch; exits 0 'upright(x: …)'
# stopped while it builds: nothing is left behind
( "$perch" build b.perch --out k & sleep 0.02; kill -TERM $! 2>/dev/null; wait ) >/dev/null 2>&1
[ -z "$(find . -name '.staged*' -o -name '.perch*')" ] || fails "left behind by SIGTERM: $(find . -name '.staged*' -o -name '.perch*')"
# git: bare, shared, in a conflict
if command -v git >/dev/null; then
  git init -q r && cp b.perch r/ && (cd r && git add . && git -c user.name=a -c user.email=a commit -qm one && sed -i 's/90mm/95mm/' b.perch && git -c user.name=a -c user.email=a commit -qam two)
  git clone -q --bare r bare.git; (cd bare.git && said "$perch" diff HEAD~1:b.perch HEAD:b.perch; exits 1 'a bare repository'; tells '90 ?mm.*95 ?mm' 'a bare repository'; exit 0) 
  git clone -q --shared r shared && (cd shared && said "$perch" diff HEAD~1:b.perch HEAD:b.perch; exits 1 'a clone that shares objects'; tells '90 ?mm.*95 ?mm' 'a clone that shares objects'; exit 0)
fi
# originality of what is written
said "$perch" nest b.perch:small --out n3
there n3/job.json 'a job and its record'
! grep -qE '"(layout|placed|rotation|density)"' n3/job.json || fails 'job.json has words of others'
exit 0
