"""Publications behind the storage figures.

Where a page carries no date the year in its key is approximate, and `where` says so.
"""

from app.sources.source import Source

UNDATED = "undated page, the year is approximate"

STORAGE: dict[str, Source] = {
    "Ruppel1992": Source(
        "Ruppel K.A.",
        1992,
        "Management of bunker silos: loss against density",
        "MS thesis, Cornell University; table as printed by Holmes and Muck 1999",
        "secondary",
    ),
    "HolmesMuck1999": Source(
        "Holmes B.J., Muck R.E.",
        1999,
        "Factors affecting bunker silo densities",
        "University of Wisconsin-Extension, 12 Apr 1999, https://go.wisc.edu/x4l4c7",
    ),
    "MuckHolmes2000": Source(
        "Muck R.E., Holmes B.J.",
        2000,
        "Factors affecting bunker silo densities",
        "Applied Engineering in Agriculture 16(6):613-619; abstract read, coefficients recalled",
        "memory",
    ),
    "Richard2004": Source(
        "Richard T.L. and others",
        2004,
        "Air-filled porosity and permeability relationships during solid-state fermentation",
        "Biotechnology Progress 20; densities of solids recalled",
        "memory",
    ),
    "Undersander2009": Source(
        "Undersander D.",
        2009,
        "Pack silage right for best results",
        "https://www.farmprogress.com/farm-business/pack-silage-right-for-best-results",
    ),
    "Kaatz2009": Source(
        "Kaatz P.",
        2009,
        "Attention to corn silage packing",
        "Hay & Forage Grower, http://hayandforage.com/silage/corn/attention-corn-silage-packing-0909",
    ),
    "DAmoursSavoie2005": Source(
        "D'Amours L., Savoie P.",
        2005,
        "Density profile of corn and haycrop silage in bunker silos",
        "ASAE paper 051051, doi 10.13031/2013.19791",
    ),
    "Stone2005": Source(
        "Stone W.",
        2005,
        "Management of bunker silos",
        f"Cornell University, https://de.scribd.com/document/349644417/Bunker-Silo-Management; {UNDATED}",
    ),
    "WilkinsonFenlon2014": Source(
        "Wilkinson J.M., Fenlon J.S.",
        2014,
        "A meta-analysis comparing standard polyethylene and oxygen barrier film",
        "Grass and Forage Science, doi 10.1111/gfs.12087; abstract",
    ),
    "Bernardes2012": Source(
        "Bernardes T.F. and others",
        2012,
        "Oxygen barrier film on top of maize silage",
        "Grass and Forage Science, doi 10.1111/j.1365-2494.2011.00823.x; abstract",
    ),
    "PennState2005": Source(
        "Penn State Extension",
        2005,
        "Bunk silos need to be covered",
        "http://extension.psu.edu/animals/dairy/news/2005/bunk-silos-need-to-be-covered",
    ),
    "MsuExtension2012": Source(
        "Michigan State University Extension",
        2012,
        "Should you cover your bunker silo?",
        f"https://canr.msu.edu/news/should_you_cover_your_bunker_silo; {UNDATED}",
    ),
    "Muck2015": Source(
        "Muck R.E., Brink G.E., Broderick G.A.",
        2015,
        "Alfalfa losses in three types of silo",
        "Applied Engineering in Agriculture 31:479; abstract",
    ),
    "Muck2000": Source(
        "Muck R.E.",
        2000,
        "Losses and densities in bag silos",
        "Hay & Forage Grower, http://hayandforage.com/mag/farming_bag_best_silage; the densities are recalled",
        "memory",
    ),
    "Muck2010": Source(
        "Muck R.E.",
        2010,
        "Rules for silage inoculants; butyric acid in alfalfa silage",
        f"Dairy Herd Management, items 113937194 and 114044244; {UNDATED}",
    ),
    "Schroeder2016": Source(
        "Schroeder J.W.",
        2016,
        "Using inoculants effectively",
        f"North Dakota State University, https://farms.com/news/using-inoculants-effectively-101849.aspx; {UNDATED}",
    ),
    "Cropp2000": Source(
        "Cropp R.",
        2000,
        "Feed inventory charts, tables and formulas",
        f"UW-Extension Pepin County, https://docslib.org/download/6984379; {UNDATED}",
    ),
    "Mwps1997": Source(
        "MidWest Plan Service",
        1997,
        "Dairy freestall housing and equipment, feed storage tables",
        "MWPS-7, 6th edition, as reprinted in a Minnesota dairy factsheet",
    ),
    "AlbertaAgriculture2020": Source(
        "Alberta Agriculture",
        2020,
        "Bale moisture, sizes and weights",
        f"https://www.alberta.ca/bale-moisture; {UNDATED}",
    ),
    "Hall2009": Source(
        "Hall (South Dakota State University)", 2009, "Volume of round bales", "Aberdeen News, 6 Feb 2009"
    ),
    "Holmes2009": Source(
        "Holmes B.J.",
        2009,
        "Sizing silos; feed-out techniques for bunkers and piles",
        f"http://hayandforage.com/print/mag/farming_sizing_silo; {UNDATED}",
    ),
    "Holmes2010": Source(
        "Holmes B.J.",
        2010,
        "Overfilled bunkers increase dry matter loss",
        f"Dairy Herd Management, item 113990204; {UNDATED}",
    ),
    "Holmes2011": Source(
        "Holmes B.J.",
        2011,
        "Faster feed-out to reduce spoilage",
        "Hay & Forage Grower, January 2011, http://hayandforage.com/print/ecorn-archive/0111-faster-feedout-reduce-spoilage",
    ),
    "Kung2010": Source("Kung L.", 2010, "Secure your sidewalls", f"Dairy Herd Management, item 113936504; {UNDATED}"),
    "NewYorkDec2007": Source(
        "New York State Department of Environmental Conservation",
        2007,
        "Use of waste tires to hold silage covers",
        f"as reported in https://www.dairyherd.com/article/silage-tire-alternatives; {UNDATED}",
        "secondary",
    ),
    "Bolsen2016": Source(
        "Bolsen K.K.",
        2016,
        "Filling bunker silos and drive-over piles: packing safety",
        f"https://www.agproud.com/articles/19353; {UNDATED}",
    ),
    "Carrabba2018": Source(
        "Carrabba J.",
        2018,
        "Safety around bunkers and piles: slopes, and distance from the face",
        f"https://hayandforage.com/print-article-785-permanent.html and press relays; {UNDATED}",
    ),
    "McCary2023": Source(
        "McCary C., Chang-Der Bedrosian M.",
        2023,
        "Silage pH: how low is low enough?",
        "as reported in https://hayandforage.com/article-4430-How-low-should-silage-pH-go.html",
    ),
    "Harrigan2003": Source(
        "Harrigan T.M.",
        2003,
        "Time-motion analysis of corn silage harvest systems",
        "Applied Engineering in Agriculture; abstract",
    ),
    "BuckmasterHilton2005": Source(
        "Buckmaster D.R., Hilton J.W.",
        2005,
        "Computerized cycle analysis of harvest, transport, and unload systems",
        "Computers and Electronics in Agriculture 47:137-147, doi 10.1016/j.compag.2004.11.015; abstract",
    ),
    "KentuckyAen2003": Source(
        "University of Kentucky",
        2003,
        "Field capacity of machines, AEN-73",
        f"https://scribd.com/document/439199921; {UNDATED}",
    ),
    "AsaeStandards2003": Source(
        "American Society of Agricultural Engineers",
        2003,
        "Agricultural machinery management data, D497",
        "ASAE Standards; values recalled",
        "memory",
    ),
    "Undersander2012": Source(
        "Undersander D.",
        2012,
        "Forage harvesting: how fast can you go?",
        f"progressiveforage.com, forage-harvesting-how-fast-can-you-go; {UNDATED}",
    ),
    "WiersmaHolmes2001": Source(
        "Wiersma D., Holmes B.J.",
        2001,
        "Estimating the weight of forage in a forage wagon",
        f"University of Wisconsin Focus on Forage 3(3); {UNDATED}",
    ),
    "Griswold2020": Source(
        "Griswold (Penn State Extension)",
        2020,
        "Silo gas: extremely dangerous",
        f"Penn State advice as relayed by Agri-View; {UNDATED}",
        "secondary",
    ),
    "NasdSiloGas1993": Source(
        "National Ag Safety Database",
        1993,
        "Silo gas dangers",
        f"http://nasdonline.org/document/64/d001621/silo-gas-dangers.html; {UNDATED}",
    ),
    "Niosh1994": Source(
        "NIOSH",
        1994,
        "Documentation for immediately dangerous concentrations: nitrogen dioxide",
        "https://dnacih.com/niosh/nioshdbs/idlh/10102440.htm",
    ),
    "Aiha2017": Source(
        "American Industrial Hygiene Association",
        2017,
        "Nitrogen dioxide: revised IDLH value (NIOSH 2017-202)",
        "The Synergist, December 2017",
    ),
    "PennStateHorizontal2014": Source(
        "Penn State Extension",
        2014,
        "Horizontal silo safety",
        f"https://extension.psu.edu/horizontal-silo-safety; {UNDATED}",
    ),
    "BunkerSafety2022": Source(
        "Trade press article",
        2022,
        "Stay safe when working on or near bunker silos",
        f"https://agproud.com/articles/55533; {UNDATED}",
    ),
    "Osha2005": Source(
        "Occupational Safety and Health Administration",
        2005,
        "Tractor hazards fact sheet; 29 CFR 1928.51 and 1928.57",
        f"https://docslib.org/doc/7011052; {UNDATED}",
    ),
    "MissouriExtension1998": Source(
        "University of Missouri Extension",
        1998,
        "Farm machinery pulls faster than people react",
        f"relayed by Delta Farm Press, and NASD d001079; {UNDATED}",
        "secondary",
    ),
    "ExtensionFresh2013": Source(
        "eXtension Farm and Ranch eXtension in Safety and Health",
        2013,
        "Overhead power lines",
        f"https://ag-safety.extension.org/tag/overhead-power-lines/; {UNDATED}",
    ),
    "UmnSmv2015": Source(
        "University of Minnesota Extension",
        2015,
        "Slow-moving vehicle emblems",
        f"extension note on road travel; {UNDATED}",
    ),
    "JacksonRosenberg2010": Source(
        "Jackson L.L., Rosenberg H.R.",
        2010,
        "Preventing heat-related illness among agricultural workers",
        "Journal of Agromedicine 15:200-215",
    ),
    "WisconsinYouth2019": Source(
        "University of Wisconsin-Madison Extension",
        2019,
        "Safe farm chores for farm kids",
        f"https://farms.extension.wisc.edu/safe-farm-chores-for-farm-kids; {UNDATED}",
    ),
    "BcMinistry2015": Source(
        "British Columbia Ministry of Agriculture",
        2015,
        "Sizing horizontal silos, 372.302-3",
        "https://paperzz.com/doc/8599787/sizing-horizontal-silos---bc-ministry-of-agriculture",
    ),
}
