# The figures as text: what no topic owns.

figures-tried = Inputs tried in place of the file's values ({ $count })
figures-tried-kept = Inputs tried in place of the file's values, variant { $variant } ({ $count })
figures-guessed = Inputs that are guessed ({ $count })
figures-assumed = Inputs assumed, since nobody gave them ({ $count })
