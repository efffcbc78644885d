import { foldWord } from "./fold.ts";

/*
 * The words a spec is written with, by what they do in a line, folded as names are. Common practice of the trade
 * in six languages, no published source.
 */

/** The space-separated words as a set, folded as names are. */
export function wordSet(words: string): ReadonlySet<string> {
  return new Set(words.trim().split(/\s+/).map(foldWord));
}

/** Words that join and never name. */
export const STOP_WORDS = wordSet(
  "of the a an and your de du des del da do di d l la le el il von each total plus vol abv alc proof by",
);

/** What is dashed of many kinds. */
export const BITTERS = wordSet("bitters");

/**
 * Said beside a name and meaning nothing for the glass, unless an entry is called so ("lime cordial, house-made").
 * Any other word that no entry has makes a different product, so this list holds descriptions only.
 */
export const COMMENT_WORDS = wordSet(`
  fresh freshly squeezed pressed juiced strained chilled cold iced homemade house housemade made organic good quality
  premium best favourite favorite preferably optional ideally natural local ripe medium large small big pasteurised
  pasteurized filtered style some more extra nice decent about home
  frisch frischer frische frischgepresst gepresst frais fraîchement pressé fresco fresca recién exprimido spremuto
  i my our you we it is to taste or if have whatever any like other equivalent similar needed desired less for
  with from at in on room temperature fine finely twice hot brewed plain pure raw clear standard strong short
  weak leave add last see note below above well very little bit slightly adjust depending cut into wedge
  quartered muddled float floated floating rinse drink floater minus please ok okay also perhaps maybe only one
  ones two batch reserve straight kentucky cuban vsop xo vs v s o p joven espadin same`);

/** Kinds of thing: left over after a match, such a word is what makes it another ingredient. */
export const KIND_WORDS = wordSet(`
  cordial liqueur syrup cream creme infused infusion spiced flavoured flavored schnapps soda zest peel tonic oleo
  powder powdered vinegar shrub milk sorbet puree nectar wine beer cider brandy tincture cola tea coffee foam
  concentrate acid adjusted clarified washed salted smoked sweetened unsweetened dry sweet solution saline jam
  marmalade sherbet essence extract alcohol free zero`);

/** Family names that add nothing once the kind within the family is named: "reposado", "navy strength". */
export const HEAD_WORDS = wordSet("gin rum whiskey tequila vermouth sherry bitters mezcal");

/** Said with a typed ratio: "honey thinned 3:1 with water", "(2 parts sugar to 1 part water)". */
export const RATIO_WORDS = wordSet("water thinned diluted cut sugar part with to one two three");

/** A step begins with one of these. */
export const STEP_VERBS = wordSet(`
  shake stir strain double fine hard dry whip reverse build built muddle throw blend swizzle pour serve garnish
  combine mix chill fill rim express rub discard dump churn roll place put wash enjoy using into over without add
  shaken stirred thrown blended swizzled carbonate let then first take use top float rinse spray mist bring heat
  warm dissolve repeat finish lengthen served serving swirl return transfer assemble
  schütteln rühren abseihen auffüllen agiter filtrer verser servir agitar colar remover decorar mescolare
  shakerare filtrare servire bater coar`);
/** Only with another of them are these verbs: "dry shake", "fine strain"; "fine sugar" is an ingredient. */
export const HALF_VERBS = wordSet("double fine hard dry whip reverse first then using into over without");

/** May stand between the start of a line, or a sign, and its amount: "add 2 oz gin", "juice of half a lime". */
export const POUR_OPENERS = wordSet(`
  add pour muddle take use shake combine mix build then first stir in of with and plus put just float top finish
  fill lengthen blend up off de di du d von aus juice into`);

/** Joins two pours when an amount follows. */
export const JOINERS = wordSet("and with plus und et y e mit avec con then");

/** What goes in last: "top with soda", "float 15 ml rum". */
export const TOP_VERBS = wordSet(
  "top topped float floated finish finished lengthen lengthened fill auffüllen",
);
/** Words between such a verb and what is poured. */
export const TOP_FILLERS = wordSet("it the drink glass up off with of mit and to a some as little");
/** What stays in a glass that was wetted and emptied. */
export const RINSE_WORDS = wordSet("rinse rinsed rinsing wash washed");
/** What an atomiser leaves. */
export const SPRAY_WORDS = wordSet(
  "spray sprayed spritz spritzed mist misted atomise atomised atomize atomized",
);

/** Vessels and ice: an amount before one is their size, not a pour. */
export const VESSEL_WORDS = wordSet(
  "glass glasses coupe coupes goblet tumbler flute tin jar whipper siphon shaker mug ice eis hielo ghiaccio glaçons",
);
/** Containers that hold an amount given in brackets: "1 can (330 ml) cola". */
export const CONTAINERS = wordSet("can bottle tin pack carton glass jigger shot");
/** Sizes nobody agrees on: they are asked about. */
export const NO_SIZE = wordSet(`
  shot shots jigger pony ponies glug pinch pinches handful drizzle touch hint knob bottle can glass wineglass schuss
  prise chorrito pizca filet lug nip finger scoop rest remainder remaining equal jug pint`);

/** Aroma, decoration and seasoning: no sugar, acid or alcohol that the model counts. */
export const NOT_COUNTED = wordSet(`
  garnish twist peel zest wheel wedge slice sprig leaf leaves mint basil rosemary thyme sage nutmeg cinnamon
  clove anise cardamom pepper peppercorn salt olive cherry cucumber ice eis hielo glaçons ghiaccio gelo minze
  menthe menta hierbabuena straw umbrella flower onion coin chilli chili jalapeño worcestershire sauce celery
  cube-ice dust frond`);
/** A count of these is decoration, whatever they are cut from. */
export const CUT_WORDS = wordSet(
  "twist peel zest wheel wedge slice sprig leaf leaves stick coin swath ribbon frond",
);
/** Salty and hot things, counted by nobody when they come by the dash or drop. */
export const SEASONINGS = wordSet("sauce salt pepper nutmeg chilli chili worcestershire grind grating pinch");

/** Fruit pressed for its juice. */
export const FRUITS = wordSet("lime lemon orange grapefruit");
/** Fruit whose flesh feeds the drink, with no agreed yield a piece. */
export const WHOLE_FRUITS = wordSet(`
  raspberry strawberry blackberry blueberry grape pineapple passion passionfruit peach pear apple mango kiwi melon
  watermelon fig plum apricot banana cranberry kumquat tangerine mandarin clementine pomegranate`);
/** May stand beside a fruit without making it something else. */
export const FRUIT_COMMENTS = wordSet(`
  whole fresh ripe freshly squeezed large small medium juiced juice of only ausgepresst pressés exprimidos cut in
  into wedge wedges quartered quarters muddled pressed and the half halves piece pieces eighth eighths skin on from
  four six eight un une eine einer`);
/** Said of a fruit that is crushed into the drink. */
export const CRUSHED = wordSet("muddled muddle crushed smashed squeezed pressed");

/** Whole lines about serving, and what they give. */
export const LABEL =
  /^(?:glass(?:ware)?|garnish|garnitur|deko|ice|eis|yields?|serves|servings?|makes|glas|verre|vaso|copa|source|notes?|tip|tools?|equipment|prep(?:aration)? time|total time|difficulty|method|methode|méthode|método|technique|how)(?:\s*[:-]\s*.+|\s+\d+\s*\p{L}*)$/iu;
/** Whole lines that head others. */
export const HEADING =
  /^(?:#+ .*|(?:ingredients?|zutaten|ingr[ée]dients?|ingredientes|ingredienti|spec|recipe|method|methode|m[ée]thode|m[ée]todo|preparation|preparaci[óo]n|zubereitung|instructions|directions|notes?|for the .{1,30}|to serve)\s*:?)$/iu;
