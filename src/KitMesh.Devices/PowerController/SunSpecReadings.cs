using System.Globalization;
using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.PowerController;

/// <summary>Turns decoded models into readings. Pure.</summary>
internal static class SunSpecReadings
{
    // Input against output power of a controller: losses of a few percent, and both are sampled apart.
    private const double LeastPlausibleRatio = 0.5;
    private const double MostPlausibleRatio = 2;
    private const double LeastWattsToCompare = 20;

    /// <summary>Fills a set and returns, in words, what does not fit together.</summary>
    public static IReadOnlyList<string> Fill(ReadingSet set, IReadOnlyList<SunSpecBlock> blocks, SunSpecOptions options)
    {
        var doubts = new List<string>();
        int panel = 1;
        foreach (SunSpecBlock block in blocks)
        {
            switch (block.Model.Id)
            {
                case 160:
                    Trackers(set, block, options, ref panel);
                    break;
                case 714:
                    Ports(set, block, options, ref panel);
                    break;
                case 802:
                    Battery(set, block, options, doubts);
                    break;
                case 64111:
                    Controller(set, block, options, ref panel, doubts);
                    break;
            }
        }

        return doubts;
    }

    private static void Trackers(ReadingSet set, SunSpecBlock block, SunSpecOptions options, ref int panel)
    {
        int modules = block.Repetitions("N");
        for (int i = 0; i < modules; i++)
        {
            if (options.Subjects.Find(ReadingTarget.Panel, panel++) is { } subject)
            {
                Set(set, ReadingTarget.Panel, subject, ReadingField.Volts, block.Number("DCV", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Amperes, block.Number("DCA", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Watts, block.Number("DCW", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Energy, block.Number("DCWH", i));
            }
        }
    }

    private static void Ports(ReadingSet set, SunSpecBlock block, SunSpecOptions options, ref int panel)
    {
        int ports = block.Repetitions("NPrt");
        for (int i = 0; i < ports; i++)
        {
            double? type = block.Number("PrtTyp", i);
            if (type == 0 && options.Subjects.Find(ReadingTarget.Panel, panel++) is { } subject)
            {
                Set(set, ReadingTarget.Panel, subject, ReadingField.Volts, block.Number("DCV", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Amperes, block.Number("DCA", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Watts, block.Number("DCW", i));
                Set(set, ReadingTarget.Panel, subject, ReadingField.Energy, block.Number("DCWhInj", i));
            }
            else if (type == 1 && options.Subjects.Find(ReadingTarget.Battery, 1) is { } battery)
            {
                double sign = options.Sign switch { CurrentSign.ChargePositive => 1, CurrentSign.DischargePositive => -1, _ => double.NaN };
                Set(set, ReadingTarget.Battery, battery, ReadingField.Volts, block.Number("DCV", i));
                Set(set, ReadingTarget.Battery, battery, ReadingField.Amperes, Signed(block.Number("DCA", i), sign));
                Set(set, ReadingTarget.Battery, battery, ReadingField.Watts, Signed(block.Number("DCW", i), sign));
                Set(set, ReadingTarget.Battery, battery, ReadingField.Temperature, block.Number("Tmp", i));
            }
        }
    }

    private static void Battery(ReadingSet set, SunSpecBlock block, SunSpecOptions options, List<string> doubts)
    {
        if (options.Subjects.Find(ReadingTarget.Battery, 1) is not { } battery)
        {
            return;
        }

        double? amperes = block.Number("A");
        double sign = SignOf(options.Sign, block.Number("ChaSt"), amperes);
        if (double.IsNaN(sign) && amperes is { } unsigned && unsigned != 0)
        {
            doubts.Add("The battery gives a current and its charge state does not say which way it flows; the current is left out. Set currentSign after comparing with a meter.");
        }

        Set(set, ReadingTarget.Battery, battery, ReadingField.Volts, block.Number("V"));
        Set(set, ReadingTarget.Battery, battery, ReadingField.Amperes, Signed(amperes, sign));
        Set(set, ReadingTarget.Battery, battery, ReadingField.Watts, SignedLike(block.Number("W"), amperes, sign));
        Set(set, ReadingTarget.Battery, battery, ReadingField.Charge, block.Number("SoC") / 100);
        Set(set, ReadingTarget.Battery, battery, ReadingField.LowestCell, block.Number("CellVMin"));
        Set(set, ReadingTarget.Battery, battery, ReadingField.HighestCell, block.Number("CellVMax"));
    }

    private static void Controller(ReadingSet set, SunSpecBlock block, SunSpecOptions options, ref int panel, List<string> doubts)
    {
        double? arrayVolts = block.Number("ArrayV");
        double? outputWatts = block.Number("OutputW");
        if (options.Subjects.Find(ReadingTarget.Panel, panel++) is { } subject)
        {
            Set(set, ReadingTarget.Panel, subject, ReadingField.Volts, arrayVolts);
            Set(set, ReadingTarget.Panel, subject, ReadingField.Amperes, InputAmperes(block, arrayVolts, outputWatts, doubts));
            Set(set, ReadingTarget.Panel, subject, ReadingField.Watts, outputWatts);
            Set(set, ReadingTarget.Panel, subject, ReadingField.Energy, block.Number("TodaykWhOutput") * 1000);
        }

        if (options.Subjects.Find(ReadingTarget.Battery, 1) is { } battery)
        {
            Set(set, ReadingTarget.Battery, battery, ReadingField.Volts, block.Number("BattV"));
            if (options.ControllerCurrentIsBatteryCurrent)
            {
                Set(set, ReadingTarget.Battery, battery, ReadingField.Amperes, block.Number("OutputA"));
                Set(set, ReadingTarget.Battery, battery, ReadingField.Watts, outputWatts);
            }
        }
    }

    /// <summary>
    /// The published file scales InputA with P_SF, an oddity that some devices follow and others do not. Power in and
    /// power out tell which; when neither fits, the current is left out.
    /// </summary>
    private static double? InputAmperes(SunSpecBlock block, double? volts, double? outputWatts, List<string> doubts)
    {
        double? published = block.Number("InputA");
        if (volts is not { } v || outputWatts is not { } watts || watts < LeastWattsToCompare || published is null)
        {
            return published;
        }

        if (Plausible(v * published.Value, watts))
        {
            return published;
        }

        double? other = block.NumberScaledBy("InputA", "A_SF");
        if (other is { } amperes && Plausible(v * amperes, watts))
        {
            return other;
        }

        doubts.Add(string.Create(CultureInfo.InvariantCulture, $"The controller's input current ({published:0.##} A at {v:0.##} V) does not fit its output of {watts:0} W and is left out."));
        return null;
    }

    private static bool Plausible(double inputWatts, double outputWatts) =>
        inputWatts / outputWatts is >= LeastPlausibleRatio and <= MostPlausibleRatio;

    // 3 DISCHARGING and 4 CHARGING; the model does not say which sign the current has, so only the state decides.
    private static double SignOf(CurrentSign option, double? state, double? amperes) => (option, state, amperes) switch
    {
        (CurrentSign.ChargePositive, _, _) => 1,
        (CurrentSign.DischargePositive, _, _) => -1,
        (_, _, 0) => 1,
        (_, 4, < 0) or (_, 3, > 0) => -1,
        (_, 4, > 0) or (_, 3, < 0) => 1,
        _ => double.NaN,
    };

    private static double? Signed(double? value, double sign) => double.IsNaN(sign) && value != 0 ? null : value == 0 ? 0 : value * sign;

    // A power whose sign does not go with the current's would be a guess about which of both is inverted.
    private static double? SignedLike(double? watts, double? amperes, double sign) =>
        watts is { } w && amperes is { } a && Math.Sign(w) * Math.Sign(a) < 0 ? null : Signed(watts, sign);

    private static void Set(ReadingSet set, ReadingTarget target, KitId subject, ReadingField field, double? value)
    {
        if (value is { } number)
        {
            set.Set(target, subject, field, number);
        }
    }
}
