/** What the room is for. */
export const LEAD =
  "Every drink of a list on one map: which stand together, which are one drink twice, and where nobody is served.";

/** Over the box. */
export const PASTE_LABEL = "Specs, one after another, an empty line between";
export const PASTE_HINT =
  "The first line of each may be its name. A spec with a line that cannot be read stays off the map until it is mended.";

/** A list of our own, for looking around: no bar has it. */
export const INVENTED = `Towpath
2 oz gin
3/4 oz lemon
3/4 oz simple syrup
Shake

Lock Keeper
2 oz bourbon
3/4 oz lemon
3/4 oz simple syrup
Shake

Coal Barge
2 oz aged rum
3/4 oz lime
3/4 oz simple syrup
Shake

Coal Barge, upstairs
60 ml aged rum
22.5 ml lime
22.5 ml simple syrup
Shake

Winding Hole
2 oz rye whiskey
1 oz sweet vermouth
2 dashes aromatic bitters
Stir

Dry Dock
2 1/2 oz gin
1/2 oz dry vermouth
Stir

Night Boat
2 oz bourbon
1 bar spoon simple syrup
2 dashes aromatic bitters
Stir

Regatta
1 1/2 oz gin
3/4 oz lemon
1/2 oz simple syrup
3 oz soda water
Build`;

export const INVENTED_NOTE = "Invented demo: a list for looking around.";

/** "7 drinks on the map, 1 left off." */
export function countText(placed: number, left: number): string {
  const drinks = `${placed} ${placed === 1 ? "drink" : "drinks"} on the map`;
  return left === 0 ? `${drinks}.` : `${drinks}, ${left} left off.`;
}

export const READING = "Reading the list…";

/** Why a spec is not on the map. */
export const NO_POUR = "no pour was read in it; leave empty lines only between drinks";
export const lineLeft = (raw: string, reason: string) => `“${raw.trim()}”: ${reason}`;
export const TO_CHOOSE = "could be more than one thing; write it out";
export const tooMany = (most: number) => `the map holds ${most} drinks`;

/** What the picture is, for those who do not see it. */
export const pictureText = (drinks: number, groups: number) =>
  `Sugar across, acid up, alcohol on an arm of its own: ${drinks} drinks in ${groups} ${groups === 1 ? "group" : "groups"}. The table has every figure.`;

export const KEY_TEXT =
  "Numbers are the drinks of the table; a ground joins the drinks of a group; a broken ring marks the middle of an empty corner.";
export const ALIKE_HINT =
  "Nearer than their doubts: 68 of 100 pairs of glasses of one drink lie as near. Doubts are taken as independent, so two that share a juice may yet be told apart.";
export const NO_ALIKE = "None: every two can be told apart.";
export const NO_CORNERS = "None of two steps or more.";
export const CORNERS_HINT =
  "Looked for where the inner half of a family’s drinks lie. Words go by thirds of the classics. Whether a corner is worth filling is yours to say.";
