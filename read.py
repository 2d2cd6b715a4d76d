import sys,time,cProfile,pstats
from pathlib import Path
from rigleaf.catalogue.reading import read_catalogue
from rigleaf.catalogue.kept import KeptFiles
k=KeptFiles(); r=Path(sys.argv[1])/'rigs'
for i in range(3):
    P=cProfile.Profile()
    c=time.process_time()
    if i==2: P.enable()
    cat=read_catalogue(r,kept=k)
    if i==2: P.disable(); pstats.Stats(P).sort_stats('tottime').print_stats(22)
    print(i, time.process_time()-c, flush=True)
