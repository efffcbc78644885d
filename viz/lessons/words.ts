/** What each lesson asks, what is to be done, and what has been learnt once it is. */
export const LESSON_WORDS: readonly { title: string; question: string; task: string; told: string }[] = [
  {
    title: "What melt water does",
    question: "Nothing is poured but ice. What happens to the drink?",
    task: "Leave the pours as they are and choose another method, so that ice goes into it.",
    told: "Every number fell at once, and by the same share: melt water adds nothing and thins everything. A fifth to a third of a shaken glass is water from ice; a spec without its method is half a spec.",
  },
  {
    title: "The ratio is not the drink",
    question: "Sugar and acid stand in the right proportion here. Why is it still not in range?",
    task: "Bring it into range and keep the sugar : acid ratio as it is, to within one.",
    told: "Sugar and acid mask each other, so their ratio tells whether a drink is sweet or sharp; it does not tell how much there is of either. Both had to grow together.",
  },
  {
    title: "Strength and thinness",
    question: "It tastes weak. Must more spirit go in?",
    task: "Raise it by 2 % vol without touching the gin.",
    told: "Strength is a share. Less of everything else is more of the spirit, and the glass gets smaller instead of stronger for the guest: the standard drinks stayed as they were.",
  },
  {
    title: "A little lemon",
    question: "A sweet, weak juice drinks dull. How little lemon or lime does it take?",
    task: "Add lemon or lime, half an ounce at most, so that acid rises by 0.15 g/100 mL or more.",
    told: "Lemon and lime hold some ten times the acid of a sweet juice, so a little of them moves acid far and sugar and strength hardly at all. Hover the line to see where it pulls.",
  },
  {
    title: "Swap against adjust",
    question: "The syrup runs out and only the rich one is left. What changes?",
    task: "Swap the syrup for the rich one (2:1) and pour so that sugar ends where it began.",
    told: "A swap moves the drink by what is different in the bottle; the pour brings it back. Less of a richer syrup also carries less water, so the drink ends a little stronger.",
  },
  {
    title: "What the map cannot see",
    question: "Can you make it another drink without moving it on the map?",
    task: "Put another spirit in place of the gin so that the mark stays where it is.",
    told: "Equal strength, equal place. Aroma, bitterness, texture, fizz and colour are not on this map: two drinks on one spot can be as different as gin and rum. The tasters decide.",
  },
  {
    title: "Reading doubt",
    question: "It is in range. Would your next glass be?",
    task: "Move it so that 85 real glasses in 100 would be in range.",
    told: "Fruit, hands and ice vary, and the rings show how far. A drink at the edge is out as often as in; a drink in the middle can bear a sharp lemon and a slow pour.",
  },
  {
    title: "One change at a time",
    question: "Two things are wrong. Why not mend both at once?",
    task: "Bring it into range in two rounds or more, and change one ingredient only in each. Keep each round.",
    told: "When one thing changes, what you taste is its doing. When two change, you know that the pair helped, and not which of them; the trail of single steps can be gone back along.",
  },
];
