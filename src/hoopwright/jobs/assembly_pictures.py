def draw_assembly(folder, made, progress=None):
    return ()
