/* wire.h - what both ends of the socket must agree on.
 *
 * JSON-RPC 2.0, one object a line (LF), UTF-8, over a Unix stream socket. `params` is always an
 * object or absent. Every request gets one reply; notifications (no id) are refused with an error
 * reply of id null. A client sends `hello` first and may send its call in the same write.
 *
 * An error reply: {"code": one of the below, "message": a sentence for a person,
 * "data": {"field": "ec"}} (`data` only where a parameter is at fault).
 *
 * Instants in answers are local ISO 8601 with offset ("2026-03-01T07:00:00+01:00"), days
 * "2026-03-01". Quantities in answers are numbers in the unit that the key carries; a figure nobody
 * knows is null. config/answers.schema.json says the same of the answers as a JSON Schema.
 *
 *   hello   {"protocol":1}
 *           -> {"protocol":1,"version","room":NAME,"simulated":bool,"now":INSTANT,
 *               "units":{"volume":"L|gal","ec":"mS/cm|ppm500|ppm640|ppm700","temp":"C|F",
 *                        "both":bool (sheets and mixes have the other system in brackets)}}
 *   status  {} -> {"now","simulated","room","units",
 *               "reservoir":{"volume_l","height_cm","capacity_l","low_l","remainder_l","ec_ms_cm",
 *                            "holds":"water|feed|mix","recipe":NAME|null,"low_on":DAY|null,
 *                            "empty_on":DAY|null},
 *               "containers":[{"name","condition":"idle|drawdown|on float","crop":NAME|null,
 *                              "stage":NAME|null,"day":N|null,"volume_l","height_cm" (what a
 *                              ruler shows; null = no scale),"ec_ms_cm","water_ms_cm",
 *                              "float_on":DAY|null,"float_seen":bool,"solution_days":N|null,
 *                              "measured":{"ec_ms_cm":{"value","at","doubt"}|null,"ph":…,
 *                                          "temp_c":…,"volume_l":…}}],
 *               "meters":[{"name","kind":"ph|ec","calibrated_on":DAY|null,"slope_pct","offset_mv",
 *                          "due_on":DAY|null,"doubt":TEXT|null}],
 *               "paces":[{"of":KIND,"minutes","file_min","told":N}]: of the kinds of work of
 *                        which somebody told how long they took, a job's minutes,
 *               "notices":[{"key","text","alarm":bool}],
 *               "alarms":[{"kind","subject","since":INSTANT,"sure_pct",
 *                                                     "says","look","seen":bool}],
 *               "room_file_fault":TEXT|null,"entries":N,"skipped":N}
 *   today   {"on":DAY-WORDS?,"full":bool?}
 *           -> {"date","tasks":[TASK…],"minutes","budget_min","off":bool (a day off),
 *               "next":{"date","tasks":N,"minutes"}|null (the next day that has tasks of its own),
 *               "notices","room_file_fault","reservoir": as in status}
 *              with full each TASK has "worksheet"
 *           TASK = {"id":"41","kind","what":WORD,"subjects":[NAME…],"earliest","due","latest","on",
 *                   "minutes","why","loss","overdue":bool,"recipe":NAME|null,"ec_ms_cm","volume_l",
 *                   "by_hand":bool (mixed in a jug),"leaves_rest":bool (of a mix in the reservoir),
 *                   "made":bool (its mix is in the reservoir already, and wants no figures)}
 *           worksheet = [{"text","caution":TEXT|null,"does":WORD?,"into":WORD?,
 *                        "product":NAME|null,
 *                        "amount_ml" (of the product, an acid or base),
 *                        "stirs":{"product","amount","unit":"mL|g","parts","water_ml"}? (a
 *                        nutrient; thinned to so many parts to be measured), "volume_l"? (moved),
 *                        "to_l"? (there is then, whatever there was before),
 *                        "tells":[FIGURE…]? (asked for),
 *                        "shows":{"ec_ms_cm","lo","hi"}? (then), "vessels":[{"name",
 *                        "volume_l","ec_ms_cm"}…]? (what each gets, or what stays in it, and how
 *                        strong it is to be then, or null; of a bump of several also
 *                        "from_ms_cm","dip_l","away_l","stirs":[as above…])…],
 *                        "table":{"head":[TEXT…],"rows":[[TEXT…]…]}? (the same in words)}…]
 *   show    {"what":NAME or task id?}
 *           -> {"type":"task","task":TASK,"worksheet":[…],
 *               "gives":{"crop","stage","feed":FEED}|null,
 *               "wants":[{"name","ec_ms_cm","earliest","due","latest"}…, of a change],
 *               "other_days":[{"on","dearer", and as AMOUNTS: by how much more}…, of a change]}
 *            | {"type":"closed","closed":{"id","outcome":"done|dropped|withdrawn","on":DAY|null,
 *                "entry":"812"|null (that closed it),"reason":TEXT|null},
 *               "worksheet":[as above, worked out again as of just before that entry]?,
 *               "entries":[ENTRY…, what was told of it]}: of a number that is over
 *            | {"type":"container","container":{as in status and "start_volume_l","float_volume_l",
 *                "remainder_l","safe_volume_l","strength_ms_cm","target_ec_ms_cm","ph_min",
 *                "ph_max","ph_drift_day","use_l_day","solution","planting","spent_on","harvest_on",
 *                "grown_lasts_days","grown_life_days","grown_wants_l","feed":FEED,
 *                "feed_notes":[TEXT…],"seen":SEEN},
 *               "tasks":[TASK…],"entries":[ENTRY…, newest first, at most 10]}
 *            | {"type":"reservoir","reservoir":{as in status and "draw_l_day","ph","temp_c",
 *                "seen":SEEN},
 *               "tasks","entries"}
 *            | {"type":"product","product":{"name","kind","left","unit":"mL|g","reorder_at",
 *                "ordered","recipes":[NAME…],"reagent":TEXT|null,"contents":FEED,
 *                "strength":LEARNED (of an acid or base: over what label and balance ask for)},
 *               "tasks","entries"}
 *            | {"type":"recipe","recipe":{"name","ec_gain_ms_cm","told_gain_ms_cm",
 *                "estimated":bool,"learned":LEARNED,"estimate_ms_cm","estimate_off_pct",
 *                "feed":FEED,"doses":[{"product","per_l","unit"}]}}
 *            | {"type":"meter","meter":{as in status},"tasks","entries"}
 *            | {"type":"crop","crop":{"name","start_ec_ms_cm","harvest_day","harvest_window_day",
 *                "room_drinks","room_days",
 *                "stages":[{"name","from_day","seen_only":bool (begins when a person has seen it),
 *                           "ec_ms_cm","ph_min","ph_max","life_min_day","life_max_day","recipe",
 *                           "source":TEXT|null}…],"containers":[NAME…, that grow it or are to],
 *                "source":TEXT|null (where its figures come from)}}
 *            | {"type":"forecasts","forecasts":[{"of":"level|draw|strength","made":N,"inside":N,
 *                "score","beside":N,"score_beside","line","width"}…]}: how forecasts came true;
 *                scores in L and mS/cm, the less the better, null where there are none
 *            | {"type":"things","things":{"tasks":[ID…],"containers":[NAME…],"products","recipes",
 *                "meters","crops"}}: without a name
 *           FEED = [{"of":"N|P|K|…","mg_l","lo","hi","give_mg_l"?}…]; lo and hi are published
 *           figures, or null; give_mg_l of a container: nine times in ten within so much
 *           SEEN = [{"what":WORD,"at":INSTANT,"says","check"}…]: what people saw that counts still
 *           LEARNED = {"value","sd","used":N,"aside":N}|null
 *   ack     {"task":"41","figures":FIGURES?,"subjects":{NAME:FIGURES…}?,"only":[NAME…]?,
 *            "at":WORDS?,"note":TEXT?,"sure":bool?,"key":TEXT?}
 *           FIGURES = {"ec":"1.4 mS/cm" | "ec_ms_cm":1.4, …, "what":WORD?,
 *                      "amounts":{PRODUCT:"45 mL"|number…}?}
 *           "volume" may be a height where the room file gives the vessel one: "14.5 cm"
 *           the keys: volume_l added_l ec_ms_cm ph temp_c slope_pct offset_mv amount yield_g
 *           was_ms_cm took_min (of the work as a whole; in an ENTRY with the jobs that it was)
 *           -> {"task":"41","done":bool (false: part of it is still open),"entries":[ENTRY…],
 *               "left":[NAME…]}
 *   defer   {"task","to":DAY-WORDS,"why":TEXT?,"only"?,"key"?}
 *           -> {"task","entries","differs":AMOUNTS? (of a change: by how much more it comes to)}
 *   drop    {"task","why":TEXT,"only"?,"key"?} -> {"task","entries"}
 *   record  {"kind":WORD,"subjects":{NAME:FIGURES…},"at"?,"note"?,"sure"?,"sensor":bool?,"key"?}
 *           -> {"entries"}; a sensor tells readings: of each hour the first counts, and what does
 *           not is kept as long as the room file says
 *   readings {"readings":[{"subject":NAME,"at":WORDS or seconds since 1970?, FIGURES…}…],"sure"?,
 *            "sensor"?,"key"?}
 *           -> {"refused":[TEXT or null, one for each]}; "level" stands for "volume", and
 *           "level_cm" for a number off a ruler
 *   void    {"entry":"17","why":TEXT,"key"?}
 *           -> {"entries","undone":[ENTRY…, what counts no more]?,"task":"41"|null? (it was closed
 *               by what was undone, and is open again where its work is wanted)}
 *           an acknowledgement takes all that was told with it along; told again under its key, the
 *           answer has the entries alone
 *   undo    {"why":TEXT?,"key"?} -> {"entries","undone"?,"task"?}: as void, of what this user told
 *           last and is not voided, whole
 *   fix     {"entry":"17","figures":FIGURES?,"at"?,"why":TEXT?,"sure"?,"key"?}
 *           -> {"entries":[the void, the entry anew]}: what is not told stays as it was
 *   log     {"of":NAME?,"since":WORDS?,"until":WORDS?,"limit":N? (200),"after":N?}
 *           -> {"entries":[ENTRY…, by happened, then seq],"next":N|null (as "after" for more)}
 *           ENTRY = {"seq":"17","happened","told","kind","subject","what":WORD|null,
 *                    "figures":{KEY:number…},"amounts":[{"product","amount","unit"}],
 *                    "until":DAY|null,"task":"41"|null,"voids":"9"|null,"voided":bool,"uid","who",
 *                    "sensor":bool,"note":TEXT|null,"doubt":TEXT|null,
 *                    "text": one line for a person}
 *   outlook {"days":N? (14),"if":WHAT? ("off +1 days..+3 days": in a room that is supposed)}
 *           -> {"from","days":[{"date","tasks":[TASK…],"minutes","budget_min","draw_l",
 *                               "reservoir_l":SPAN (if nobody fills it)}…],
 *               "mixes":[TASK…, the changes],"plan":{AMOUNTS,"gap_pct"},
 *               "reservoir":{"capacity_l","low_l","low":BY-WHEN,"empty":BY-WHEN},
 *               "water":{"draw_l","draw_lo_l","draw_hi_l","mix_l","start_l","starts":N,
 *                        "source":{"task","on","need_l","has_l","start":INSTANT,"drain_l"}|null},
 *               "products":[{"name","need","left","unit"}],
 *               "floats":[{"name","from","on","to","seen":bool}…],
 *               "containers":[{"name","ec_tomorrow":SPAN,"spent":BY-WHEN|null,"change_on":DAY|null,
 *                              "ec_then":SPAN|null}…],
 *               "feeding":FEEDING,
 *               "if":WHAT?,"differs":AMOUNTS? (by how much more it comes to than the room as it
 *               is),"feeding_now":FEEDING? (of that)}
 *           FEEDING = {"days","bumps","changes","minutes","short_days"}: each container by itself
 *           AMOUNTS = {"changeovers","mixes","jugs","mixed_l","minutes","overtime_min",
 *                      "early_days","late_days","plain_l"}: what the changes come to
 *           SPAN = {"lo","mid","hi"}, BY-WHEN = {"from":DAY,"on":DAY,"to":DAY}: nine times in ten
 *   advise  {} -> {"days":28,"week":WEEK,"dial":[{"strength":"close"|"usual"|"easy","set":bool,
 *                  "week":WEEK}…],"advice":[{"if":WHAT,"week":WEEK,"saves_min":SPAN}…, three at
 *                  most]}
 *           WEEK = {"visits","minutes","narrow_pct","water_l"}: an average one of those to come
 *   stock   {} -> {"products":[{"name","kind","left","unit","reorder_at","ordered"}]}
 *   mix     {"recipe":NAME?,"crop":NAME?,"volume":TEXT?,"ec":TEXT?,"from":TEXT?,"water":TEXT?,
 *            "hard":TEXT?,"pour":["10 L@1.2 mS/cm"…]?}
 *           -> {"kind":"full|dose|add|dilute|pour|blend","recipe","crop","stage","volume_l",
 *               "ec_ms_cm","water_l","hard_l","off_pct","feed":FEED,"estimate_ms_cm",
 *               "estimate_off_pct","notes":[TEXT],
 *               "doses":[{"product","amount","unit","tool","thin":N,"measure"}]}
 *   backup  {"file":PATH?} -> {"file":PATH,"entries":N}: a copy, read back; never over a file
 *   clock   {"advance":"7d"?,"to":WORDS?} -> {"now","simulated"}
 *           moving is refused unless simulated
 *   kinds   {} -> {"kinds":[{"word","says","what","figures":[WORD…],"needs":[WORD…],"help"}]}
 *               what `record` takes
 *
 * A request with a `key` that was told before is not told again: the answer has the entries of
 * then. One that says other things under such a key is refused. */
#ifndef TARN_BASE_WIRE_H
#define TARN_BASE_WIRE_H

#define WIRE_PROTOCOL 1
#define WIRE_LINE_MAX 65536 /* bytes of a request line, newline included */

enum {
    WIRE_PARSE = -32700,
    WIRE_REQUEST = -32600,
    WIRE_METHOD = -32601,
    WIRE_PARAMS = -32602, /* unreadable, unknown, missing or out of range */
    WIRE_INTERNAL = -32603,
    WIRE_REFUSED = -32000, /* a rule of the room */
    WIRE_UNSURE = -32001,  /* say "sure": true */
    WIRE_STORE = -32002,   /* the journal cannot be written; nothing was taken */
    WIRE_BUSY = -32003,    /* too many clients or requests */
    WIRE_VERSION = -32004, /* the protocol asked for is not spoken here */
};

#define WIRE_SOCKET_DEFAULT "/run/tarn/tarn.sock" /* unless --socket or TARN_SOCKET says else */

#endif
