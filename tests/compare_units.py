#!/usr/bin/env python3
"""Compares the whole unit table with GNU units and with UDUNITS-2, wherever they know the unit.

Usage: compare_units.py PRINT_UNITS [--verbose]

PRINT_UNITS is the program built from print_units.c. The peers are the Debian packages "units" and "udunits-bin"; one
that is not installed is left out with a message. Exits with 1 when a unit deviates by more than 1e-9 and is not in
EXCUSES, when one in EXCUSES deviates by more than is said there or no longer at all, when two names of one meaning differ, or when a
peer does not know what PEERS says it knows.
"""
import collections
import re
import shutil
import subprocess
import sys

LIMIT = 1e-9

# Our name : GNU units expression : UDUNITS-2 expression. "-" means that the peer does not know the
# unit. Names with the same meaning are compared through the first of them. Where a peer means another unit by our name
# (its "h" is Planck's constant, its "cal" thermochemical) its own name for the same unit stands here.
PEERS = """
1 : 1 : 1
% : percent : percent
permille : 1e-3 : 1e-3
ppm : ppm : ppm
ppb : ppb : ppb
rev : - : -
cycle : - : -
dozen : dozen : -
gross : gross : -
rad : radian : radian
sr : sr : sr
deg : degree : degree
arcmin : arcmin : arcmin
arcsec : arcsec : arcsec
gon : gon : grade
turn : turn : turn
m : m : m
micron : micron : micron
angstrom : angstrom : angstrom
in : inch : inch
ft : foot : foot
yd : yard : yard
mi : mile : mile
mil : mil : mil
microinch : microinch : microinch
nmi : nauticalmile : nautical_mile
ft_survey : surveyfoot : US_survey_foot
mi_survey : surveymile : US_survey_mile
fathom : fathom : -
rod : rod : -
chain : chain : -
furlong : furlong : -
link : link : -
hand : hand : -
point : printerspoint : printers_point
pica : 12 printerspoint : printers_pica
point_computer : computerpoint : big_point
pica_computer : computerpica : -
au : au : astronomical_unit
ly : lightyear : light_year
pc : parsec : parsec
ha : hectare : hectare
are : are : are
acre : acre : -
acre_survey : USacre : acre
sqft : ft^2 : ft2
sqin : in^2 : in2
sqyd : yd^2 : yd2
sqmi : mi^2 : mi2
sq : 100 ft^2 : 100 ft2
cmil : circularmil : circular_mil
kcmil : kcmil : -
barn : barn : barn
darcy : darcy : darcy
L : liter : liter
cc : cc : cc
stere : stere : stere
gal : gallon : US_liquid_gallon
gal_uk : brgallon : UK_liquid_gallon
qt : quart : US_liquid_quart
qt_uk : brquart : UK_liquid_quart
pt : pint : US_liquid_pint
pt_uk : brpint : UK_liquid_pint
cup : cup : US_liquid_cup
gill : gill : US_liquid_gill
gill_uk : brgill : UK_liquid_gill
fl_oz : usfluidounce : US_fluid_ounce
fl_oz_uk : brfluidounce : UK_fluid_ounce
fl_dr : fluiddram : fluid_dram
tbsp : tablespoon : tablespoon
tsp : teaspoon : teaspoon
minim : minim : -
bbl : barrel : barrel
bushel : bushel : bushel
peck : peck : peck
qt_dry : dryquart : US_dry_quart
pt_dry : drypint : US_dry_pint
bdft : boardfoot : board_foot
cord : cord : -
cuft : ft^3 : ft3
cuin : in^3 : in3
cuyd : yd^3 : yd3
register_ton : registerton : register_ton
acre_foot : acrefoot : -
s : s : s
min : minute : minute
h : hour : hour
d : day : day
week : week : week
fortnight : fortnight : fortnight
yr : 365 day : common_year
yr_julian : julianyear : Julian_year
yr_tropical : tropicalyear : -
yr_sidereal : siderealyear : sidereal_year
day_sidereal : siderealday : sidereal_day
shake : shake : shake
Hz : Hz : Hz
Bq : becquerel : becquerel
Ci : curie : curie
rpm : 1/min : minute-1
rps : 1/s : s-1
ACH : 1/hour : hour-1
kn : knot : knot
mph : mph : mile/hour
kmh : km/hour : km/hour
fpm : ft/min : ft/minute
fps : ft/s : ft/s
ips : in/s : inch/s
gn : gravity : standard_free_fall
galileo : Gal : -
cfm : cfm : ft3/minute
cfh : cfh : ft3/hour
cfs : cfs : ft3/s
gpm : gpm : US_liquid_gallon/minute
gph : gph : US_liquid_gallon/hour
gpd : gallon/day : US_liquid_gallon/day
gpm_uk : brgallon/min : UK_liquid_gallon/minute
lpm : lpm : liter/minute
lps : liter/s : liter/s
cmh : m^3/hour : m3/hour
bpd : barrel/day : barrel/day
miners_inch : minersinchAZ : -
kg : kg : kg
g : gram : gram
t : tonne : tonne
kt : kilotonne : kilotonne
Mt : megatonne : megatonne
quintal : quintal : -
lb : pound : pound
oz : ounce : avoirdupois_ounce
dr : dram : -
gr : grain : grain
lb_troy : troypound : troy_pound
oz_troy : troyounce : troy_ounce
pennyweight : pennyweight : pennyweight
scruple : scruple : scruple
ct : carat : carat
stone : stone : -
ton_us : shortton : short_ton
ton_uk : longton : long_ton
cwt : ushundredweight : short_hundredweight
cwt_uk : brhundredweight : long_hundredweight
ton_assay : assayton : assay_ton
slug : slug : slug
Da : dalton : atomic_mass_unit
mgKOH : mg : mg
den : denier : denier
tex : tex : tex
osf : ounce/ft^2 : avoirdupois_ounce/ft2
gsm : gram/m^2 : gram/m2
osy : ounce/yd^2 : avoirdupois_ounce/yd2
pcf : pound/ft^3 : pound/ft3
pci : pound/in^3 : pound/in3
ppg : pound/gallon : pound/US_liquid_gallon
N : newton : newton
dyn : dyne : dyne
kgf : kgf : kilogram_force
gf : gram force : gram_force
tf : tonne force : tonne standard_free_fall
lbf : lbf : pound_force
ozf : ounce force : ounce_force
kip : kip : kip
tonf_us : tonf : ton_force
tonf_uk : longton force : long_ton standard_free_fall
pdl : poundal : poundal
sthene : sthene : -
Pa : pascal : pascal
bar : bar : bar
Ba : barye : barye
psi : psi : psi
psf : lbf/ft^2 : pound_force/ft2
ksi : ksi : ksi
atm : atm : atm
at : at : technical_atmosphere
torr : torr : torr
mmHg : mmHg : mmHg
cmHg : cm Hg : cmHg
inHg : inHg : inHg
ftHg : ft Hg : ft conventional_mercury
inHg_32F : - : inch_Hg_32F
inHg_60F : - : inch_Hg_60F
mmH2O : mm water : mm conventional_water
cmH2O : cm water : cm conventional_water
mH2O : m water : m conventional_water
inH2O : inH2O : inch conventional_water
ftH2O : ft water : footH2O
inH2O_39F : - : inch_H2O_39F
inH2O_60F : - : inch_H2O_60F
J : joule : joule
erg : erg : erg
eV : eV : electronvolt
cal : cal_IT : IT_calorie
cal_th : cal_th : thermochemical_calorie
cal_15 : cal_15 : -
cal_20 : cal_20 : -
cal_mean : cal_mean : -
Btu : btu_IT : IT_Btu
Btu_th : btu_th : -
Btu_39F : - : -
Btu_59F : - : -
Btu_60F : - : -
Btu_mean : - : -
MMBtu : 1e6 btu_IT : 1e6 IT_Btu
therm : ECtherm : EC_therm
therm_us : UStherm : US_therm
quad : quad : 1e15 IT_Btu
Wh : W hour : watthour
ft_lbf : ft lbf : ft pound_force
in_lbf : in lbf : inch pound_force
ft_pdl : ft poundal : ft poundal
kgf_m : kgf m : kilogram_force m
thermie : thermie : -
tnt : 1e9 cal_th : ton_TNT
toe : toe : -
boe : barreloil : -
L_atm : liter atm : liter atm
W : watt : watt
VA : VA : VA
var : V A : V A
hp : hp : horsepower
hp_metric : metrichorsepower : metric_horsepower
hp_electric : electrichorsepower : electric_horsepower
hp_boiler : boilerhorsepower : boiler_horsepower
hp_water : waterhorsepower : water_horsepower
hp_uk : - : UK_horsepower
ton_refrigeration : tonref : ton_of_refrigeration
Btuh : btu_IT/hour : IT_Btu/hour
MBH : 1000 btu_IT/hour : 1000 IT_Btu/hour
varh : V A hour : V A hour
VAh : VA hour : VA hour
P : poise : poise
Pl : poiseuille : pascal s
reyn : reyn : psi s
rhe : rhe : rhe
St : stokes : stokes
A : ampere : ampere
abampere : abampere : abampere
biot : biot : biot
statampere : statampere : statampere
C : coulomb : coulomb
Ah : A hour : A hour
abcoulomb : abcoulomb : abampere s
statcoulomb : statcoulomb : statcoulomb
faraday : faraday : C12_faraday
V : volt : volt
abvolt : abvolt : abvolt
statvolt : statvolt : statvolt
ohm : ohm : ohm
abohm : abohm : abohm
S : siemens : siemens
abmho : abmho : abmho
F : farad : farad
abfarad : abfarad : abfarad
H : henry : henry
abhenry : abhenry : abhenry
Wb : weber : weber
maxwell : maxwell : maxwell
unit_pole : unitpole : unit_pole
T : tesla : tesla
gauss : gauss : gauss
gamma : 1e-9 tesla : gamma
oersted : oersted : oersted
gilbert : gilbert : gilbert
K : K : K
degC : tempC : degC
degF : tempF : degF
degR : degR : degR
degC_diff : degC : -
degF_diff : degF : -
tog : tog : -
clo : clo : clo
RSI : K m^2/W : K m2/W
R_us : ft^2 hour degF/btu_IT : ft2 hour degR/IT_Btu
k_us : btu_IT in/(hour ft^2 degF) : IT_Btu inch/(hour ft2 degR)
U_us : btu_IT/(hour ft^2 degF) : IT_Btu/(hour ft2 degR)
langley : langley : langley
clausius : 1000 cal_IT/K : 1000 IT_calorie/K
perm : perm_0C : perm_0C
perm_23C : - : perm_23C
perm_inch : perm_0C inch : grain inch/(hour ft2 inHg)
perm_inch_23C : - : -
mol : mol : mol
lbmol : pound mol/gram : -
kat : katal : katal
cd : cd : cd
lm : lumen : lumen
lx : lux : lux
fc : footcandle : footcandle
phot : phot : phot
nit : nit : nit
stilb : stilb : stilb
lambert : lambert : lambert
footlambert : footlambert : footlambert
Gy : gray : gray
Sv : sievert : sievert
rd : rad : 0.01 gray
rem : rem : rem
roentgen : roentgen : roentgen
dpt : diopter : m-1
kayser : kayser : kayser
mpg : mile/gallon : mile/US_liquid_gallon
mpg_uk : mile/brgallon : mile/UK_liquid_gallon
money : - : -
"""

# What deviates by more than LIMIT, and why. (peer, reason, largest deviation allowed, our names)
EXCUSES = (
    ("GNU units", "takes the point as 1/72.27 in, SP 811 as 0.013837 in", 1.1e-8, "point pica"),
    ("UDUNITS-2", "stores figures of about seven digits, not definitions", 5e-7,
     "ly pc cmil darcy gal qt pt cup gill fl_oz fl_dr tbsp tsp bbl bushel peck qt_dry pt_dry bdft register_ton "
     "yr_sidereal day_sidereal gpm gph gpd bpd oz lb_troy oz_troy pennyweight cwt cwt_uk ton_assay slug den osf osy ppg "
     "ozf pdl torr ft_pdl hp hp_metric statampere statcoulomb statvolt unit_pole oersted gilbert footlambert mpg perm"),
    ("UDUNITS-2", "keeps a measured constant from before the 2019 SI", 1e-6, "Da eV faraday"),
    ("UDUNITS-2", "multiplies densities out; SP 811 prints six digits", 5e-7, "inHg_60F inH2O_39F inH2O_60F"),
    ("UDUNITS-2", "takes the conventional inHg; SP 811 prints 3386.38 Pa at 32 degF", 2.6e-6, "inHg_32F"),
    ("UDUNITS-2", "errs by a factor of 100: a lumen per square foot is 10.76391 lx in SP 811 B.8", 0.991, "fc"),
)
DEVIATIONS = {(peer, name): (allowed, reason) for peer, reason, allowed, names in EXCUSES for name in names.split()}


def read_peers():
    peers = collections.OrderedDict()
    for line in PEERS.strip().splitlines():
        name, gnu, udunits = (part.strip() for part in line.split(" : "))
        peers[name] = {"GNU units": gnu, "UDUNITS-2": udunits}
    return peers


def read_table(program):
    rows = collections.OrderedDict()
    for line in subprocess.run([program], check=True, capture_output=True, text=True).stdout.splitlines():
        name, factor, offset, dimension, meaning = line.split("\t")
        rows[name] = (float(factor), float(offset), dimension, meaning)
    return rows


def gnu_convert(have, want):
    run = subprocess.run(["units", "--output-format", "%.17g", "--terse", "--", have, want],
                         capture_output=True, text=True)
    try:
        return float(run.stdout)
    except ValueError:
        raise LookupError((run.stdout + run.stderr).strip().replace("\n", " "))


def gnu_deviation(expression, row):
    """Relative deviation of our factor (and of the reading at 100 degrees)."""
    factor, offset, dimension, _ = row
    if offset != 0.0:
        return max(abs(gnu_convert("%s(%d)" % (expression, t), "K") / (factor * t + offset) - 1) for t in (-40, 0, 100))
    return gnu_convert("(%s)/(%s)" % (expression, dimension), "1") / factor - 1


def udunits_deviation(expression, row):
    """UDUNITS-2 prints six digits, so it is asked for the deviation itself: the unit in our own unit, less one."""
    factor, offset, dimension, _ = row
    worst = 0.0
    for t in (-40, 0, 100) if offset != 0.0 else (1,):
        if offset != 0.0:
            have, want = "%d %s" % (t, expression), "(%r K) @ 1" % (factor * t + offset)
        else:
            have, want = "(%s)/(%s)" % (expression, dimension), "%r @ 1" % factor
        run = subprocess.run(["udunits2", "-H", have, "-W", want], capture_output=True, text=True)
        found = re.search(r"= (\S+) ", run.stdout)
        if found is None:
            raise LookupError((run.stdout + run.stderr).strip().replace("\n", " "))
        worst = max(worst, abs(float(found.group(1))))
    return worst


def compare(peer, deviation_of, rows, peers, verbose):
    compared, failed, worst, worst_name = 0, 0, 0.0, "none"
    excused = collections.OrderedDict()
    for name, expressions in peers.items():
        expression = expressions[peer]
        if expression == "-":
            continue
        try:
            deviation = abs(deviation_of(expression, rows[name]))
        except LookupError as reason:
            print("%s: %s (%s): %s" % (peer, name, expression, reason))
            failed += 1
            continue
        compared += 1
        allowed, why = DEVIATIONS.get((peer, name), (LIMIT, None))
        if why is not None and deviation <= LIMIT:
            print("%s: %s no longer deviates; take it out of EXCUSES" % (peer, name))
            failed += 1
        if why is not None:
            excused.setdefault(why, []).append((name, deviation))
        elif deviation > worst:
            worst, worst_name = deviation, name
        if not deviation <= allowed:
            print("%s: %s deviates by %.3g (%s)" % (peer, name, deviation, expression))
            failed += 1
        elif verbose:
            print("%s: %s %.2g" % (peer, name, deviation))
    count = sum(len(names) for names in excused.values())
    print("%s: %d units compared, %d within %g (worst relative deviation %.2g, %s), %d excused:"
          % (peer, compared, compared - count, LIMIT, worst, worst_name, count))
    for why, names in excused.items():
        worst = max(names, key=lambda item: item[1])
        print("  it %s: %d, worst %s %.2g" % (why, len(names), worst[0], worst[1]))
    return failed


def main(arguments):
    verbose = "--verbose" in arguments
    programs = [argument for argument in arguments if not argument.startswith("-")]
    if len(programs) != 1:
        print(__doc__)
        return 2
    rows, peers, failed = read_table(programs[0]), read_peers(), 0
    first_of = {}
    for name in peers:
        if name not in rows:
            print("%s: compared, but not in the table" % name)
            failed += 1
            continue
        first_of[rows[name][3]] = name
    missing = 0
    for name, row in rows.items():
        if row[2] == name and len(name) == 3 and name.isupper():
            continue  # a currency: its factor is 1 by nature
        first = first_of.get(row[3])
        if first is None:
            print("%s: has no line in PEERS" % name)
            missing += 1
        elif rows[first][:3] != row[:3]:
            print("%s and %s mean the same and differ" % (name, first))
            failed += 1
    failed += missing
    print("%d names, %d distinct units without the currencies" % (len(rows), len(first_of)))
    for peer, command, deviation_of in (("GNU units", "units", gnu_deviation), ("UDUNITS-2", "udunits2", udunits_deviation)):
        if shutil.which(command) is None:
            print("%s: not installed, left out" % peer)
        else:
            failed += compare(peer, deviation_of, rows, peers, verbose)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
