using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using KitMesh.Models.Battery;
using KitMesh.Models.Panel;
using NodaTime;

namespace KitMesh.Cli.Commands.Bench;

// A small world with one bank whose truth differs from what its trip file says: dirtier panels, hungrier loads, a leakier box. Steps of ten minutes; written
// apart from the path engine (thermostat switching, taper near full, loads in the late evening) so that it does not share its faults. What charging and drawing lose warms the cells,
// no more and no less: an earlier world warmed them by five hundredths of every current and lost three of what was drawn, so that its heater ran less than its energy allowed.

/// <summary>The world that forecasts are judged in.</summary>
internal sealed class ForecastWorld
{
    private static readonly Duration Step = Duration.FromMinutes(10);
    private readonly IForecastWeather _weather;
    private readonly PanelSite _site;
    private readonly Random _random;
    private readonly double _panelFactor;
    private readonly double _loadFactor;
    private readonly double _lossFactor;
    private readonly List<TimedReading> _readings = [];
    private readonly Dictionary<LocalDate, double> _loadDays = [];
    private readonly List<double> _lowest = [];
    private readonly List<double> _sunWh = [];
    private readonly List<double> _loadWh = [];
    private readonly ChargeLimits _limits = ChargeLimits.For(Chemistry.Lfp);
    private readonly PackModel _pack;
    private double _charge = 0.75;
    private double _cell = 2;
    private bool _heats;
    private double _loadCounter;

    public ForecastWorld(IForecastWeather weather, Place place, Instant start, int days, int seed, int? kitSeed = null)
    {
        _weather = weather;
        Place = place;
        Start = start;
        Days = days;
        _random = Seeded(seed);

        // The same kit on two trips has the same truth.
        Random truth = kitSeed is { } kit ? Seeded(kit) : _random;
        _panelFactor = 0.8 + (0.25 * truth.NextDouble());
        _loadFactor = 0.85 + (0.55 * truth.NextDouble());
        _lossFactor = 0.85 + (0.4 * truth.NextDouble());
        _site = new PanelSite(place, start - Duration.FromDays(1), start + Duration.FromDays(days + 2));
        Kit = ForecastKit.Make(place, start.InUtc().Date, days);
        _pack = new PackModel(Kit.OfType<Pack>().Single());
        CapacityWh = _pack.Energy.Value;
        Roll();
    }

    public Place Place { get; }

    public Instant Start { get; }

    public int Days { get; }

    public double CapacityWh { get; }

    public ValueList<KitItem> Kit { get; }

    /// <summary>True state of charge at the end of each day.</summary>
    public List<double> EndFractions { get; } = [];

    /// <summary>True energy of the heater on each day; it is not reported.</summary>
    public List<double> HeaterWh { get; } = [];

    /// <summary>All that really happened.</summary>
    public PlayedBank Played => new([.. EndFractions], [.. _lowest], [.. _sunWh], [.. _loadWh], [.. HeaterWh], null);

    /// <summary>The kit as it really is.</summary>
    public ValueList<KitItem> Exact => Kit.Select(item => item switch
    {
        Panel panel => panel with { Derate = panel.Derate * _panelFactor },
        Load load => load with { PerDay = load.PerDay * _loadFactor },
        Box box => box with { Loss = new WattsPerKelvin(box.Loss.Value * _lossFactor) },
        _ => item,
    }).ToValueList();

    /// <summary>What was reported up to a moment.</summary>
    public ValueList<TimedReading> ReadingsUntil(Instant now) => _readings.Where(reading => reading.Time <= now).ToValueList();

    /// <summary>Clear-sky index of a day: level sunlight over that of a cloudless sky.</summary>
    public double IndexOf(int day)
    {
        double got = 0;
        double clear = 0;
        for (int i = 0; i < 48; i++)
        {
            Instant time = Start + Duration.FromDays(day) + (Duration.FromMinutes(30) * i);
            double level = _site.Clear(time).Global.Value;
            clear += level;
            got += level * _weather.IndexAt(time);
        }

        return clear > 0 ? got / clear : 0;
    }

    private void Roll()
    {
        Load load = Kit.OfType<Load>().Single();
        Box box = Kit.OfType<Box>().Single();
        Panel panel = Kit.OfType<Panel>().Single();
        int perDay = 144;
        for (int i = 0; i < Days * perDay; i++)
        {
            Instant time = Start + (Step * i);
            double air = _weather.AirAt(time, Place);
            double plane = _site.On(time + (Step / 2), _weather.IndexAt(time), panel.Tilt, panel.Heading).Total.Value;
            double offered = _panelFactor * PanelPower.Dc(new(plane), new(air + (plane / 30)), panel.Rated * panel.Derate, panel.TemperatureCoefficient).Value;
            double drawn = Drawn(load, time);
            _heats = _cell < box.HeaterOn.Value || (_heats && _cell < box.HeaterOff.Value);
            bool empty = Empty(drawn);
            double heater = !_heats ? 0 : empty ? Math.Clamp(offered - drawn, 0, box.Heater.Value) : box.Heater.Value;
            double taper = _charge > 0.95 ? Math.Max(0, (1 - _charge) / 0.05) : 1;
            double most = _limits.MaxRate(new(_cell)) * CapacityWh * taper;
            double net = Math.Min(offered - drawn - heater, most);
            bool dead = empty && net < 0;
            double flow = dead ? 0 : net > 0 ? net * 0.95 : net / 0.97;
            _charge = Math.Clamp(_charge + (flow * Step.TotalHours / CapacityWh), 0, 1);
            _loadCounter += dead ? 0 : drawn * Step.TotalHours;
            double loss = box.Loss.Value * _lossFactor;
            double aim = air + ((heater + (dead ? 0 : Math.Abs(net - flow))) / loss);
            _cell = aim + ((_cell - aim) * Math.Exp(-Step.TotalSeconds * loss / box.Capacity.Value));
            double taken = Math.Max(0, Math.Min(offered, net + drawn + heater));
            if (i % 6 == 0)
            {
                Report(time + Step, air, taken, net, load.Id, panel.Id);
            }

            if (i % perDay == 0)
            {
                HeaterWh.Add(0);
                _sunWh.Add(0);
                _loadWh.Add(0);
                _lowest.Add(1);
                EndFractions.Add(0);
            }

            HeaterWh[^1] += dead ? 0 : heater * Step.TotalHours;
            _sunWh[^1] += taken * Step.TotalHours;
            _loadWh[^1] += dead ? 0 : drawn * Step.TotalHours;
            _lowest[^1] = Math.Min(_lowest[^1], _charge);
            EndFractions[^1] = _charge;
        }
    }

    // The terminal voltage meets the cut-off: from then on loads and heater have only what the panels give.
    private bool Empty(double watts)
    {
        double volts = _pack.OpenCircuit(new(_charge)).Value;
        return volts - (Math.Max(watts, 5) / volts * _pack.Resistance(new(_cell)).Value) < _pack.CutOff.Value;
    }

    private double Drawn(Load load, Instant time)
    {
        LocalDate day = time.InUtc().Date;
        if (!_loadDays.TryGetValue(day, out double wattHours))
        {
            double normal = Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());
            wattHours = load.PerDay.Value * _loadFactor * Math.Max(0.2, 1 + (load.Spread * normal));
            _loadDays[day] = wattHours;
        }

        int hour = time.InUtc().Hour;
        return wattHours * (hour is >= 18 and < 23 ? 0.6 / 5 : 0.4 / 19);
    }

    private void Report(Instant time, double air, double taken, double net, KitId load, KitId panel)
    {
        double Noise(double sd) => sd * Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());
        _readings.Add(new TimedReading(time, new BatteryReading(
            ForecastKit.BankId, null, new Amperes(net / 13.2), null, new StateOfCharge(Math.Clamp(_charge + Noise(0.01), 0, 1)), [new Celsius(_cell + Noise(0.2))])));
        _readings.Add(new TimedReading(time, new PanelReading(panel, null, null, new Watts(taken), null)));
        _readings.Add(new TimedReading(time, new LoadReading(load, ChargeActivity.Unknown, null, null, new WattHours(_loadCounter), null)));
        _readings.Add(new TimedReading(time, new TemperatureReading(Place.Id, "air", new Celsius(air + Noise(0.3)))));
    }

    // A seeded generator of the runtime: the world must not share the model's own.
    [System.Diagnostics.CodeAnalysis.SuppressMessage("ApiDesign", "RS0030:Do not use banned APIs", Justification = "Seeded; the world of a back-test needs a generator that is not the model's.")]
    private static Random Seeded(int seed) => new(seed);
}
