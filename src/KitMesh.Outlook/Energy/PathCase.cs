namespace KitMesh.Outlook.Energy;

/// <summary>One bank in plain numbers, as the path engine takes it. Energies in Wh, powers in W, temperatures in °C.</summary>
internal sealed record PathCase
{
    /// <summary>Most zones that a bank may have; the engine's loop is bounded by it.</summary>
    internal const int MaxZones = 12;

    internal required StepTable Steps { get; init; }

    internal required double CapacityWh { get; init; }

    /// <summary>Below this fraction the bank counts as run short.</summary>
    internal required double ReserveFraction { get; init; }

    /// <summary>Fraction that cannot be drawn at 0 °C and its growth per kelvin of cold (see PackModel.Usable).</summary>
    internal double FloorAtZero { get; init; }

    internal double FloorPerKelvin { get; init; }

    /// <summary>Below this an empty bank gives its heater nothing: it runs from what the panels leave over, so that a sunny day brings the bank back.</summary>
    internal double DeadFraction => FloorAtZero + 0.01;

    internal double ChargeEfficiency { get; init; } = 0.96;

    internal double DischargeEfficiency { get; init; } = 0.98;

    internal required double StartFraction { get; init; }

    internal double StartFractionSd { get; init; }

    internal required double StartCellC { get; init; }

    internal double StartCellSd { get; init; }

    internal required double BoxJoulesPerKelvin { get; init; }

    internal required double BoxWattsPerKelvin { get; init; }

    internal double BoxLossSd { get; init; }

    internal double HeaterWatts { get; init; }

    internal double HeaterOnC { get; init; }

    internal double HeaterOffC { get; init; } = 1;

    /// <summary>Lower edges of the charge zones, coldest first.</summary>
    internal required double[] ZoneFromC { get; init; }

    /// <summary>Highest charge power in each zone.</summary>
    internal required double[] ZoneWatts { get; init; }

    /// <summary>No charge above this.</summary>
    internal required double ZoneEndC { get; init; }

    /// <summary>Most that the charge controller gives.</summary>
    internal double ControllerWatts { get; init; } = 1e9;

    /// <summary>Rated panel power after derating; 0 without panels.</summary>
    internal double PanelWatts { get; init; }

    internal double PanelPerKelvin { get; init; } = -0.004;

    /// <summary>Rise of the panel's cells over the air per watt at 25 °C (Faiman, 1 m/s: 1,000 W/m2 over 31.84 W/(m2 K)).</summary>
    internal double CellRisePerWatt => PanelWatts > 0 ? 1000 / PanelWatts / 31.84 : 0;

    internal double PanelDoubt { get; init; } = 0.1;

    /// <summary>Distribution of a day's clear-sky index.</summary>
    internal required SkyCurve Sky { get; init; }

    /// <summary>Moves all Gaussian positions of the sky; negative is cloudier.</summary>
    internal double SkyShiftZ { get; init; }

    internal double SkyPersistence { get; init; } = 0.3;

    /// <summary>Gaussian position of the day before the first, and how well it is known (0 wholly, 1 not at all).</summary>
    internal double SkyStartZ { get; init; }

    internal double SkyStartSd { get; init; } = 1;

    /// <summary>Doubt in that distribution: standard deviation of a shift of all positions, drawn once a path.</summary>
    internal double SkyDoubt { get; init; } = 0.3;

    /// <summary>How much the halves of a day differ in clear-sky index.</summary>
    internal double SkyHalfDaySd { get; init; } = 0.12;

    internal double AirPersistence { get; init; } = 0.7;

    internal double AirDaySd { get; init; } = 4;

    internal double AirStartK { get; init; }

    internal double AirStartSd { get; init; } = 4;

    internal double AirDoubtK { get; init; } = 2;

    /// <summary>Share of a usual day's loads that the lightest day takes. Own choice.</summary>
    internal const double LeastLoadDay = 0.1;

    /// <summary>Day-to-day spread of all loads together, as a share of a usual day: a normal one, because devices add up and light days are as common as heavy ones.</summary>
    internal double LoadDaySd { get; init; }

    /// <summary>Doubt in their mean, as the sigma of a lognormal.</summary>
    internal double LoadDoubt { get; init; }

    /// <summary>Scales the loads; 1 leaves them.</summary>
    internal double LoadScale { get; init; } = 1;

    /// <summary>Scales what the panels give; 1 leaves it.</summary>
    internal double PanelScale { get; init; } = 1;

    /// <summary>Panels go out only on mornings when the bank is below this fraction; above 1 means on every day that they can stand.</summary>
    internal double PanelsBelow { get; init; } = 2;

    /// <summary>Panels come down on days with stronger gusts, m/s.</summary>
    internal double GustLimit { get; init; } = double.MaxValue;

    /// <summary>Median of a day's strongest gust, m/s, and the sigma of its logarithm.</summary>
    internal double UsualGust { get; init; } = 8;

    internal double GustSigma { get; init; } = 0.4;

    /// <summary>Panels stay in on days with a lower clear-sky index; 0 leaves storms out.</summary>
    internal double StormIndex { get; init; }

    /// <summary>Most of the power that snow on the panel takes on a dull day.</summary>
    internal double SnowLoss { get; init; }

    /// <summary>Most charge power for each Wh of room: where the constant-voltage phase tapers.</summary>
    internal double TaperPerHour { get; init; } = double.MaxValue;

    /// <summary>The heater runs only on days when the panels go out.</summary>
    internal bool HeatsWithPanelsOnly { get; init; }

    /// <summary>Clear-sky index below which a day counts as dull and may bring snow. Own choice.</summary>
    internal const double DullIndex = 0.35;

    /// <summary>Correlation of gusts with the sky's position: storms blow. Own choice.</summary>
    internal const double GustWithSky = -0.3;

    /// <summary>Moves the air temperature.</summary>
    internal double AirShiftK { get; init; }
}
