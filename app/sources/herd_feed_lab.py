"""Publications behind herd intake, feed budgets, lab values and feed prices.

A key ending in 2026 is a web page that carries no date, read in that year.
"""

from app.sources.source import Source

_UNDATED = "undated web page, read 2026"

HERD_FEED_LAB: dict[str, Source] = {
    "Alabama2026": Source(
        "Alabama Cooperative Extension", 2026, "By-product feeds quick reference", f"aces.edu; {_UNDATED}"
    ),
    "Allen2019": Source(
        "Allen, Sousa, VandeHaar",
        2019,
        "Intake of milking cows from diet filling effects",
        "J. Dairy Sci. 102; abstract",
    ),
    "AmaralPhillips2026": Source(
        "Amaral-Phillips, McAllister", 2026, "Determining forage needs", f"University of Kentucky ASC-160; {_UNDATED}"
    ),
    "Beede2026": Source("Beede", 2026, "Feed low-potassium forages to dry cows", f"hayandforage.com; {_UNDATED}"),
    "Chase2026": Source(
        "Chase",
        2026,
        "Wet by-products: inclusion and storage life",
        f"Cornell PRO-DAIRY in Hoard's Dairyman; {_UNDATED}",
    ),
    "Clemson2026": Source(
        "Clemson University", 2026, "Nitrate in forage: feeding advice by nitrate-N", f"clemson.edu; {_UNDATED}"
    ),
    "Daugherty2013": Source("Daugherty", 2013, "Shrink and the forage inventory", "agproud.com article 26025"),
    "DeSouza2019": Source(
        "de Souza et al.", 2019, "Intake of milking cows from animal factors", "J. Dairy Sci.", mark="memory"
    ),
    "Eastridge2024": Source("Eastridge", 2024, "Forage inventory and its horizon", "farmanddairy.com"),
    "FarmersJournal2026": Source(
        "Irish Farmers Journal",
        2026,
        "Dietary cation-anion difference: equation and targets",
        f"farmersjournal.ie article 249247; {_UNDATED}",
    ),
    "Hall2020": Source("Hall", 2020, "Forage inventory and carry-over", "agproud.com article 36446"),
    "Hall2026": Source("Hall", 2026, "Butyric acid in silage", f"agproud.com article 58384; {_UNDATED}"),
    "Hayirli2002": Source(
        "Hayirli, Grummer, Nordheim, Crump",
        2002,
        "Animal and dietary factors of intake before calving",
        "J. Dairy Sci. 85, 10.3168/jds.S0022-0302(02)74431-7; abstract",
    ),
    "Hayirli2003": Source(
        "Hayirli, Grummer, Nordheim, Crump",
        2003,
        "Models for intake during the prefresh transition period",
        "J. Dairy Sci. 86:1771-1779; abstract",
    ),
    "Hibma2026": Source("Hibma", 2026, "Forage NDF intake limits", f"hayandforage.com article 499; {_UNDATED}"),
    "Hoffman2013": Source("Hoffman, Kester", 2013, "Estimating intake of dairy heifers", "University of Wisconsin"),
    "Ishler2020": Source("Ishler", 2020, "Cow equivalents and acreage", "Penn State Extension, farms.com 161294"),
    "Kung2001": Source(
        "Kung, Shaver",
        2001,
        "Interpretation and use of silage fermentation analysis",
        "Focus on Forage, University of Wisconsin (year from memory)",
    ),
    "Lee2021": Source(
        "Lee et al.",
        2021,
        "Evaluation of intake equations for lactating Holsteins",
        "Anim. Biosci. 34(10), 10.5713/ajas.20.0684",
    ),
    "Linn2011": Source("Linn", 2011, "Forage fibre in short-hay years", "agweb.com"),
    "Maine2026": Source(
        "University of Maine Cooperative Extension",
        2026,
        "Will there be enough forage?",
        f"extension.umaine.edu/livestock; {_UNDATED}",
    ),
    "Manitoba2026": Source("Manitoba Agriculture", 2026, "Pricing home-grown forages", f"gov.mb.ca; {_UNDATED}"),
    "Miner2026": Source(
        "Miner Institute", 2026, "Intake and milk per unit of NDF digestibility", f"dairyherd.com; {_UNDATED}"
    ),
    "NASEM2021": Source(
        "National Academies of Sciences, Engineering, and Medicine",
        2021,
        "Nutrient Requirements of Dairy Cattle, 8th rev. ed.",
        "equations 2-1 and 2-2 read in the open textbook github.com/merickson3/NASEM_pilot, chapters 5, 7, 8",
    ),
    "NRC1989": Source(
        "National Research Council",
        1989,
        "Nutrient Requirements of Dairy Cattle, 6th rev. ed.",
        "NEL from TDN",
        mark="memory",
    ),
    "NRC2001": Source(
        "National Research Council",
        2001,
        "Nutrient Requirements of Dairy Cattle, 7th rev. ed.",
        "nap.edu/read/9825; equations from memory, table values read at studylib.net/doc/7201686",
        mark="memory",
    ),
    "Paulson2009": Source(
        "Paulson", 2009, "Forage quality by class of dairy animal", "University of Minnesota, thecattlesite.com 1996"
    ),
    "Shaver2026": Source(
        "Shaver", 2026, "Feeding strategies when alfalfa is short", f"fyi.extension.wisc.edu; {_UNDATED}"
    ),
    "StPierre2016": Source("St-Pierre", 2016, "Signal and noise in feed analyses", "Hoard's Dairyman article 18683"),
    "Tucker2026": Source("Tucker", 2026, "Butyric acid in silage", f"thedairysite.com article 4014; {_UNDATED}"),
    "Urness2017": Source("Urness", 2017, "Pricing haylage", "newsletter, 2017"),
    "Weiss2004": Source(
        "Weiss", 2004, "Forage inventory needs", "Buckeye Dairy News 6(5), Ohio State University (year from the volume)"
    ),
    "Weiss2015": Source("Weiss, St-Pierre", 2015, "Sampling variation of forages", "Hoard's Dairyman article 15027"),
    "Wisconsin2018": Source(
        "University of Wisconsin Extension", 2018, "Pricing standing hay", "fyi.extension.wisc.edu"
    ),
    "Wisconsin2022": Source(
        "University of Wisconsin Extension",
        2022,
        "Hay market demand and price report, 28 February 2022",
        "cropsandsoils.extension.wisc.edu",
    ),
}
