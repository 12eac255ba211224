# Bands: what the low and the high of the inputs make of the main figures.

bands = Uncertainty: main figures with all uncertain inputs drawn together
bands-result = figure
bands-low = 5 %
bands-middle = 50 %
bands-high = 95 %
bands-ends = of all draws
bands-effect = most affected by
bands-matters-most = { $known ->
        [guess] The input that matters most, a guess:
        [assumed] The input that matters most, assumed because nobody gave it:
       *[other] The input that matters most:
    } { $input }, { $share } of the spread of these figures on average.
bands-basis-drawn = { $draws } draws of all inputs with a low and a high, each as often below its value as above; tapes stay where the plan lays them, and one webbing is drawn once. 5 % of the draws lie below the first figure, 5 % above the third: how they scatter if the inputs are as stated, not a guarantee.
bands-basis-partly = Falls are solved in { $falls } of the draws and read off a surface through these in the others; settled loops are solved in { $settled }.
bands-threshold = In { $share } of the draws a loop is tight under the walker, in the others none is.
bands-threshold-strength = In { $share } of the draws { $line } carries more than { $strength }, its strength less what terminations cost; in the others it does not.
bands-line-main = the main
bands-line-backup = the backup, should the main go,
bands-threshold-tapes = Planned anew with other values inside these bands the line would get { $others } tapes for { $tapes }; the bands are of the line as it is laid, which keeps its tapes.
bands-lost = In { $lost } of { $draws } draws no equilibrium was found; they are left out.

## Figures

bands-walker-drop = walker's feet below the chord
bands-tension-a = main at A with the walker
bands-least-excess = least excess with the walker
bands-deepest-loop = deepest loop with the walker, as taped
bands-deepest-settled = deepest loop with the walker, settled
