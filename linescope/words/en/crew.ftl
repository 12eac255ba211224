# The four crew pictures and their two sheets.

crew = { $name }: crew sheets
crew-foot = A model's plan, not a permission: measure tension and loops on the real line first. linescope { $version }, { $date }. { $name }
crew-state = { $where }, still air{ $slides ->
        [yes] , before any tape slides
       *[no] {""}
    }
