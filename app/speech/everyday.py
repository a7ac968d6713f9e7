"""Words anybody may say: they are never taken for a word of the trade by their sound.

The commonest words of English, and the English words that sound like one of the trade ("sheet",
"correction", "playback"). Add a word where a correction was wrong.
"""

from __future__ import annotations

from typing import Final

EVERYDAY: Final = frozenset(
    """
    a abdomen able about above absence accept accident according account ache across act action
    activity actual actually add address adjust adjustment adult advice aerobic afford afraid
    after afternoon again against age ago agree ahead aim air airport alarm album alive all
    allow almost alone along aloud already alright also although always am among amount ample an
    anchor and angle angry animal ankle announce another answer any anybody anything apart
    appear apple apply appointment april are area aren argue arm around arrange arrive art
    article as aside ask asleep at ate athlete athletic attach attack attempt attention august
    aunt autumn average avoid awake aware away awful axe baby back backwards bad badge bag bake
    baker balance ball banana band bang bank bar barber bare barely bark barn base basic basket
    bat batch bath bathroom battery be beach bean bear beard beat beautiful beauty because
    become becoming bed bedroom bee been beer before beg begin begun behind being believe bell
    bellow belly belong below belt bench bend beneath beside besides best bet better between
    beyond biceps bicycle big bike bill billow bin bird birth birthday bit bite bitten bitter
    black bladder blade blame blanket bled bleed blend bless blew blind blink blister block
    blood bloom blow blue board boat body bold bolt bone book boot border bore born borrow boss
    botch both bother bottle bottom bought boulders bounce bow bowl box boy brain brake branch
    brave bread break breakfast breast breath breathe bred brick bridge brief bright bring brink
    broad broke broken broth brother brought brown bruise brunch brush brushing bucket bud budge
    budget bug build building bulb bull bump bunch burn burst bus bush business busy but butter
    button buy by cable cache cage cake calendar calf call calm calves came camera camp camper
    can cancel candle cannot canoe cap capital captain car card cardio care careful careless
    carpet carriage carrot carry cart cartridge carve case cash casserole cat catch catcher
    catches cattle caught cause cave cede ceiling cell cello cent center central centre century
    certain chain chains chair chalk chance change chapter character charge chart chase chat
    cheap cheat check cheek cheer cheese chemist cherry chess chest chew chicken chief child
    children chill chime chimney chin china chine chins chips chocolate choice choir choose chop
    chose chosen christmas church cinnamon circle cite city claim clamp clap clash class clay
    clean clear clench clever click cliff climb cling clinic clip clock close cloth clothes
    cloud clove club clue clumsy clung clutch coach coached coaches coaching coarse coast coat
    code coffee coin cold collapse collar collect collection college collision color colour
    column comb come comfort comfortable coming command comment commission common community
    companion company compare comparison compassion competition complain complete completion
    compost comprehension compression compulsion computer conception concern condition
    confection confession confidence confirm confuse confusion congress connection consider
    contact contain contest continue contract control convection conviction cook cool copper
    copy cord core corn corner correct correction cost cottage cotton couch cough could couldn
    council count country county couple courage course court cousin cover cow cox coxswain crab
    crack craft crank crash crawl crazy cream create creature creep crepe crept crew crib
    cricket crime crisp crochet crop cross crouch crowd crown cruel crumbs crunch crush crushing
    crust cry crypt cucumber cuddle cup cupboard cure curious curl current curse curtain curve
    cushion custom customer cut cycle dad daily damage damp damper dance dandle danger danish
    dapper dare dark dash date daughter dawn day dead deadlift deal dealt dear death debt decade
    december decide decision deck deep deer degree delay delete delight deliver delivery demand
    dentist deny department depend depression depth derive describe desert design desire desk
    despite detail develop device diary did didn die diet differ difference different difficult
    dig dimension diminish dinner dip direction dirt dirty disc discover discovery discuss
    discussion disease dish distance ditch dive diver divide division do doctor dodge does doesn
    dog doing dollar don done door dot double doubt dough down downhill downwards dozen draft
    drag drain drank draw drawer dream dreamt drench dress drew dried drift drill drink drip
    drive driven driver drives drizzle drop dropped drove drown drug drum drunk dry duck due dug
    dull dumb dumbbell dump dumper dumpling during dusk dust duty dying each eager ear early
    earn earth east easy eat eaten edge education eels effect effort egg eggs eight eighteen
    either elastic elbow elbows elders election electric eleven else email empty encourage end
    enemy energy engine english enjoy enormous enough enter entire entrance envelope equal
    equipment erg ergometer error escape especially etch even evening evenly event ever every
    everyone everything everywhere evidence evil ewe exact exactly exam example excellent except
    excited excuse exercise exist exit expand expansion expect expensive experience expert
    explain explore expression extension extent extra eye eyebrow face fact factory fail failure
    faint fair faith fall fame family famish famous fan fancy far farm farmer fashion fast fat
    father fault favor favorite favour favourite fear feast february fed feed feedback feel
    feeling feels feet fellow felt fence fern fetch fever few field fields fierce fifteen fifty
    fig fight figure file fill film final finally finch find fine finger fingers finis finish
    finished finishes finnish fire firewall firm first fish fist fit five fix flag flail flame
    flange flash flashback flat fled fleet flesh flew flex flexible flies flight flinch flip
    float flock flood floor flour floured flow flower flowering flown flu fluid flung flute fly
    flywheel flywheels foam focus fog fold folders folk follow food fool foot footage footplate
    for forbid force forearm forecast forest forever forget forgive forgot fork form formal
    former forth fortune forty forward forwards fought found fountain four fourteen fox fragile
    frame france free freedom freestyle freewheel freeze french frequent frequently fresh
    fresher friday fridge friend frighten fringe frog from front frost froth frown froze frozen
    fruit fry fuel full fun funeral funny fur furnish furniture further future gain gallery game
    gap garage garden garlic gas gasp gate gather gauge gave gaze geese gem gene general gentle
    gently genuine geranium german germany get gets getting gift ginger girl give glad glance
    glass glaze glide glory glove glow glue glute gneiss go goal goat goes going gold golden
    golf gone good goose got gouge government grab grade gradual gradually graft grain grand
    grandfather grandmother grant grape grapes graph grass grate grateful grave gray grease
    greasy great greedy green greet grew grey grid grief grill grim grin grind grip gripe gripes
    gripped grips grit grocery groom grope gross grouch ground group groups grow grown growth
    grub guard guess guest guide guilty guitar gun gust guy gym habit had hail hair half hall
    ham hammer hamper hamstring hamstrings hand handful handle handled handles handling hands
    handsome handy hang happen happy harbor harbour hard hardly harm harmony harness harsh
    harvest has hasn hat hatch hatchback hate hauls have haven having hay he head headache heal
    heals health heap hear heart heat heaven heavily heavy heavyweight hedge heed heel heels
    height held hell hello hells helmet help hem hemp hems hen her here hero hers herself
    hesitate hid hidden hide high highway hike hill hills him himself hinge hint hip hips hire
    his history hit hitch hobby hold holders holds hole holes holiday hollow holy home honest
    honey hook hoop hop hope horn horrible horse hose hospital host hosta hot hotel hour house
    household how however howls huddle hug huge hull hulls human humble humor humour hunch
    hundred hung hunger hungry hunt hurdle hurry hurt husband hut hutch hydration i ice idea
    ideal if ill illness image imagine immediate immediately important impression improve in
    inch include income increase indeed indicate indoor industry infant inform injury ink inner
    insect inside insist instance instant instead instruction insurance intend interest internet
    interval interview into introduce invent invite inward iron is island isn issue it item its
    itself jacket jail jam january jar jaw jazz jealous jean jerk jerky jest jet jewel job jog
    jogging join joint joke journal journey joy judge juice july jump jumper june junior jury
    just justice kayak keep keeps kept ketch kettle key keys kick kid kill kiln kilo kilometer
    kilometre kind kindle king kingdom kiss kit kitchen kite knack knead knee kneel knees knelt
    knew knife knit knock knot know knowledge known label labour lactate ladder lady ladybird
    lags laid laidback lain lake lakes lamb lamp land lane language lap laptop lard large last
    lasted latch late later laugh laughter launch laundry law lawn lawyer lay layback layer lazy
    lead leader leaf leaflet league leagues leak leaks lean leaning leap learn least leather
    leave lecture led ledge leech leek leeks left leg legacy legal legs leisure lemon lend lens
    lent less lesson let letter lettuce level library license lick lid lie lied lies lifetime
    lift lifting light lightweight like likely likes limb limit limp line link lion lip liquid
    list listen lists lit literature little live liver living load loaf loan local lock locks
    lodge log logs lollipop lonely long longer look looks loose lord lorry lose lost lot loud
    lounge love lovely low lower loyal luck lucky lugs lumbar lump lunch lung lunge lurch lying
    lynch machine mad madam made magazine magic mail main make makes manage manager manner
    manure many map march margin marinate mark market marriage married marry mask mass massive
    master mat match mate material mathematics matter maybe mayor me meadow meal mean meant
    meanwhile measure meat mechanic medal media medical medicine medieval medium meet melt
    member memory men mend mental mention menu mercy mess message met metal meter meters method
    mice midday middle midnight might mild mile milk mill million mind mine mineral mint minus
    minute minutes miracle mirror miss mission mist mistake mix mixture mobile mobility model
    modern modest moist mom moment monday money monkey monorail monorails month mood moon moral
    more morning most mostly mother motion motor mount mountain mouse mouth move movement moves
    moving much mud mulch mum munch murder muscle museum music musician must mutual my myself
    nail name narrow nasty nation natural nature navy near nearly neat neck need needs negative
    nerve nervous nest net network never new news newspaper next nice nickel niece night nine
    nineteen no nobody nod noise noisy none noon nor normal north nose not notch note nothing
    notice novel november now nowhere number nurse nut oak oar oars object observe obtain
    obvious occasion occur ocean october odd of off offer office officer official often oh oil
    ok okay old older olive on once one onion only onto open opens opinion opportunity oppose
    opposite oppression option or orange order ordinary original other otherwise ouch ought
    ounce our ours ourselves out outdoor outer outline outside outward oven over owe owl own
    owner ox pace pack package pad paddle page paid pain paint painting pair palace pale palm
    pamper pan panel panic pants paper paperback parcel pardon parent park parking parrot part
    particular partner party pass passage passenger passion past paste pastor pasture pat patch
    path patience patient patio pattern pause pay payback peace peach peak pear peas peel peer
    pelvis pen pencil penny pension people pepper percent perch perfect perfectly perform
    performance perhaps period permission permit person personal pet petrol phase phone photo
    phrase physical physio piano pick picture pie piece pig pigeon pile pill pillow pilot pin
    pinch pine pink pint pipe pit pitch pity place plan planet plank plant plastic plate
    platform play playback player pleasant please pleasure plenty plough plow plug plumber plump
    plus poach pocket poem poet point poison pole police policy polite political pollution pond
    ponies pony pool poor pop poppy popular porch port portion position positive possible
    possibly post posture pot potato pouch pound pour powder power practice praise pray preach
    preacher precious prefer preheat prepare present president press pressing pressure pressures
    pretend pretty prevent previous price pride priest primary prime prince princess print
    prison private prize probably problem process procession produce product professional
    professor profit program progress project promise proof proper properly property protect
    protein proud prove provide prune public pucker pudding pull pulse pump punch punish pupil
    pure purple purpose purse push pushing put puzzle quality quarrel quarter queen question
    queue quick quicker quickly quiet quince quit quite quote rabbit race racial racing radio
    raft rag rage raid rail rails railway rain raise raising rake rally ran ranch rang range
    rank ransom raps rare rat rate rated rates rather ratio ration rations rats raw ray razor
    reach reaching reaction read reader ready real realise realize really realm reaps rear
    reason receive recent recently recess recipe record recover recoveries recovers recovery
    recurring red reduce reef reel refer reflect refuse regard regatta region regret regular
    rehearsal relation relative relax relay release relief religion rely remain remember remind
    remote remove rent rep repair repeat replace reply report repression reps request require
    rescue research respect respond rest restaurant rests result return reveal reverie reverse
    review reward rhyme rhythm rhythms rib ribbon ribs rice rich rid ridden ride rider rigger
    right rigid rill ring rinse rip ripe ripen rips rise risen rising risk risks rite rival
    river road roar roast roasting roasts rob robe robes robs rock rod rode role roll roof room
    root rope ropes rose rot rotation rotten rough round rounded rounding route routine row
    rower rowing royal rub rubber rubbish rubs rude rug ruin rule ruler run rung rush rushes
    rushing russian rust rusting rusty rye sack sad saddle safe safety said sail sailor salad
    salary sale salmon salt same sand sandal sandwich sang sat satisfy saturday sauce sausage
    saw say says scale scandal scar scarcely scare scatter scene scenes schedule school science
    scissors scorch score scrape scratch scratcher scream screen screw script scull sculler
    sculling sculls sea seal seam sear search season seasoning seat seats second seconds secret
    secretary section see seed seedling seek seems seen seize seldom select selection self sell
    send sense sensible sent sentence separate september sequel sequence sequences sequencing
    series serious servant serve service sesame session set setback settle seven seventeen
    seventy several severe sew shade shadow shake shaken shall shallow shame shan shape share
    sharp shaved she shears sheath shed sheep sheer sheet shelf shell shelter shepherd shield
    shift shin shine shines shins ship shirt shiver shock shoe shoelace shoes shone shook shoot
    shop shopping shore short shot should shoulder shoulders shouldn shout shove show shower
    shown shrank shred shrink shrug shuns shut shutter shutters shy sick side sides sieve sigh
    sight sign signal signs silence silencing silent silk silly silver similar simmer simple sin
    since sing singer single sink sins sip sir sister sit site sitting situation six sixteen
    sixty size skate sketch sketcher ski skill skin skip skirt sky slab slack slain slam slander
    slant slap slash slat slate slave slay sled sleep sleet sleeve slept slew slice slid slide
    slider slides slight slightly sling slip slippery slit slope slot slouch slow slower slowly
    slows sludge slug slum slump slung sly small smart smash smell smile smoke smooth smoulder
    snack snail snake snap snatch sneak sneeze snow so soak soap soccer social sock socket soft
    soil sold soldier soldiers sole solid solution solve some somebody somehow someone something
    sometimes somewhat somewhere song soon soot sore soreness sorry sort soul sound soup sour
    source south sow space spade spanish spare spark spatial speak speed spell spend spent spice
    spider spike spill spin spine spirit spit spite splash splat splay splice spliced splint
    split splits splitting spoil spoke spoken sponge spoon sport spot sprain sprang spray spread
    spring sprinkle sprint sprung spun square squash squat squeak squeeze stable stack staff
    stage stain stair stake stalk stall stamina stamp stand stank stapler star starch stare
    stark start starts state station statue stay stays steady steak steal steam steel steep
    steer stem step stern stew stick stiff still sting stir stitch stock stoke stole stolen
    stomach stone stood stool stop stopwatch store stork storks storm story stove straight
    strain straining strange stranger strap straw stray streak stream street streets strength
    stress stretch stretcher stretchered stretchers stretches strew strict stricter stricture
    stride strides strike strikes string strip stripe strive strobe stroke strokes stroll
    stroller strolls strong strove struck structure struggle struts stuck student studio study
    stuff stung stupid style subject succeed success such suck sudden suddenly suffer sugar
    suggest suit suitable sum summer sun sunday sunny sunset supper supply support suppose sure
    surface surprise surround survey suspect suspension suspensions suspicion swallow swam swamp
    swear sweat sweater sweep sweet swell swept swim swing switch sword swore sworn swum symptom
    syringe system table tablet tail tailor take taken takes tale talent talk tall tamper tank
    tap tape target task taste taught tax taxi tea teach teacher team tear tease technique teeth
    telephone television tell temper temperature temple tempt ten tend tender tendon tennis
    tension tent term terrible test text texture than thank thanks that the theater theatre
    their theirs them theme themselves then theory there therefore these they thick thief thigh
    thin thing things think third thirsty thirteen thirty this thorough those though thought
    thrasher thread threat three threw thrive throat through throughout throw thrown thumb
    thunder thursday thus thyme ticket tide tidy tie tiger tight tile till tilt timber time
    times timing tin tins tiny tip tire tired title to toast tobacco today toe together toilet
    told tomato tomorrow ton tone tongue tonight too took tool tooth top torch tore torn torso
    toss total touch touching tour toward towards towel tower town toy trace track trade
    tradition traffic trail train trainer training tram transfer translate transport trap travel
    tray tread treadmill treasure treat tree trees tremble trench trial triangle triceps trick
    tried trim trip tripod trod troop trouble trousers trout truck true truly trumpet trunk
    trunks truss trust truth try trying tub tube tuber tuck tuesday tug tune tunnel turkey turn
    twelve twenty twice twin twist twitch two type typical tyre ugly ulcer umbrella uncle under
    underneath understand understood union unit university unless unlike until unusual up upon
    upper upright upset upstairs upward upwards urge urgent us use used usual usually vacation
    valley value van vandal vanish variety various vast vegetable vehicle vent version very
    vessel vest veto victory video view village violin visible vision visit visitor vital voice
    volume vote vouch voyage wage waist wait wake walk wall wallet wander want war wardrobe warm
    warmup warn warning was wash washer washing wasn waste watch water wave wax way we weak
    weakness wealth weapon wear weather weave wedding wednesday weed week weep weigh weight
    weights weird welcome well went wept were weren west wet whale what whatever wheat wheel
    wheels when whenever where whereas wherever whether which while whip whisk whisper whistle
    white who whoever whole whom whose why wide widow width wife wild will willing willow win
    wind window wine wing winner winter wipe wire wise wish with withdrew within without witness
    wives wobble woke wolf woman women won wonder wonderful wood wooden wool word wore work
    workout works world worm worn worry worse worst worth would wouldn wound woven wrap wraps
    wreck wrench wrestle wrist wrists write writer written wrong wrote yard yawn yeah year yell
    yellow yes yesterday yet yoga yogurt you young your yours yourself yourselves youth zero
    zone
    """.split()  # noqa: SIM905 - a list of words is read and mended more easily than one of strings
)
