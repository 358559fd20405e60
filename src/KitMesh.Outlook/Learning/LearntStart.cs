using System.Globalization;
using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Outlook.Learning;

/// <summary>Kit as declared, with what trips taught put in its place.</summary>
/// <param name="Kit">The kit to compute with.</param>
/// <param name="Doubts">How well its figures are known.</param>
/// <param name="Uses">What was put in, for a person.</param>
/// <remarks>
/// A thing that was seen takes its own figure, whatever its file says now; one that was not seen takes its declared figure times its kind's factor, where two
/// or more of the kind were seen. A load's energy goes with the air at its team's home.
/// </remarks>
public sealed record LearntStart(ValueList<KitItem> Kit, ValueList<KitDoubt> Doubts, ValueList<LearntUse> Uses)
{
    private const int LeastOfKind = 2;

    /// <summary>Puts learnt figures in.</summary>
    /// <param name="kit">Kit as declared.</param>
    /// <param name="learnt">What trips taught.</param>
    public static LearntStart Of(ValueList<KitItem> kit, LearntKit learnt)
    {
        ArgumentNullException.ThrowIfNull(kit);
        ArgumentNullException.ThrowIfNull(learnt);
        var writer = new Writer(kit, learnt);
        ValueList<KitItem> items = kit.Select(writer.Item).ToValueList();
        return new LearntStart(items, writer.Uses.Select(use => new KitDoubt(use.Item, use.Figure, use.Doubt)).ToValueList(), writer.Uses.ToValueList());
    }

    private sealed class Writer(ValueList<KitItem> kit, LearntKit learnt)
    {
        internal List<LearntUse> Uses { get; } = [];

        internal KitItem Item(KitItem item) => item switch
        {
            Load load => Load(load),
            Panel panel => Value(panel.Id, LearntFigure.PanelDerate, "panel", "1", panel.Derate) is { } derate ? panel with { Derate = Math.Clamp(derate.Used, 0.05, 1) } : panel,
            Box box => Box(box),
            FootageSource source => Source(source),
            _ => item,
        };

        private Load Load(Load load)
        {
            if (Value(load.Id, LearntFigure.LoadPerDay, load.Class.ToString().ToLowerInvariant(), "Wh/d", load.PerDay.Value, Air(load)) is not { } use)
            {
                return load;
            }

            double? spread = Own(load.Id, LearntFigure.LoadPerDay)?.DaySpread;
            return load with { PerDay = new WattHours(use.Used), Spread = spread is { } told && use.Used > 0 ? Math.Clamp(told / use.Used, 0, 3) : load.Spread };
        }

        private Box Box(Box box)
        {
            Box changed = Value(box.Id, LearntFigure.BoxLoss, "box", "W/K", box.Loss.Value) is { } loss ? box with { Loss = new WattsPerKelvin(loss.Used) } : box;
            return Value(box.Id, LearntFigure.BoxCapacity, "box", "J/K", box.Capacity.Value) is { } capacity ? changed with { Capacity = new JoulesPerKelvin(capacity.Used) } : changed;
        }

        private FootageSource Source(FootageSource source)
        {
            if (Value(source.Id, LearntFigure.SourcePerDay, "source", "GB/d", source.GigabytesPerDay) is not { } use)
            {
                return source;
            }

            double? spread = Own(source.Id, LearntFigure.SourcePerDay)?.DaySpread;
            return source with { GigabytesPerDay = use.Used, Spread = spread is { } told && use.Used > 0 ? Math.Clamp(told / use.Used, 0, 3) : source.Spread };
        }

        // Mean of the place's typical night and day.
        private double? Air(Load load)
        {
            KitId? home = kit.OfType<Team>().FirstOrDefault(team => team.Id == load.Team)?.Home;
            return kit.OfType<Place>().FirstOrDefault(place => place.Id == home) is { } place ? (place.NightTemperature.Value + place.DayTemperature.Value) / 2 : null;
        }

        private KitPosterior? Own(KitId item, LearntFigure figure) => learnt.Posteriors.FirstOrDefault(one => one.Item == item && one.Figure == figure);

        private LearntUse? Value(KitId item, LearntFigure figure, string kind, string unit, double declared, double? air = null)
        {
            LearntUse? use = null;
            if (Own(item, figure) is { } own)
            {
                double warmth = own is { PerKelvin: { } slope, MeanAir: { } mean } && air is { } here ? Math.Clamp(1 + (slope * (here - mean)), 0.5, 2) : 1;
                use = new LearntUse(item, figure, unit, declared, own.Value * warmth, own.Doubt, Words(own, warmth));
            }
            else if (declared > 0 && learnt.Kinds.FirstOrDefault(one => one.Kind == kind && one.Figure == figure && one.Items >= LeastOfKind) is { } common)
            {
                use = new LearntUse(item, figure, unit, declared, declared * common.Factor, common.Doubt, string.Create(
                    CultureInfo.InvariantCulture, $"never seen; {common.Items} of its kind ({kind}) came to {common.Factor:0.00} times what was declared"));
            }

            if (use is not null)
            {
                Uses.Add(use);
            }

            return use;
        }

        private static string Words(KitPosterior own, double warmth)
        {
            string cold = Math.Abs(warmth - 1) > 0.005 ? string.Create(CultureInfo.InvariantCulture, $", times {warmth:0.00} for the air") : "";
            return string.Create(CultureInfo.InvariantCulture, $"{own.Evidence} days or spans of {string.Join(" and ", own.Trips)}, {own.FromItsKind * 100:0} % from others of its kind{cold}");
        }
    }
}
