using System.Globalization;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Kit;
using KitMesh.Models.Panel;
using nietras.SeparatedValues;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Commands.Bench;

/// <summary>Weather measured somewhere: a table with <c>utc,ghi_Wm2,temp_C</c>, at most an hour between rows.</summary>
internal sealed class MeasuredWeather : IForecastWeather
{
    private readonly List<(Instant Time, double Index, double Air)> _rows = [];

    public MeasuredWeather(FileInfo file, Place place)
    {
        using SepReader reader = Sep.New(',').Reader().FromFile(file.FullName);
        var read = new List<(Instant Time, double Ghi, double Air)>();
        foreach (SepReader.Row row in reader)
        {
            if (InstantPattern.ExtendedIso.Parse(row["utc"].ToString()) is { Success: true, Value: var time }
                && double.TryParse(row["ghi_Wm2"].ToString(), CultureInfo.InvariantCulture, out double ghi)
                && double.TryParse(row["temp_C"].ToString(), CultureInfo.InvariantCulture, out double air))
            {
                read.Add((time, ghi, air));
            }
        }

        if (read.Count < 24 * 14)
        {
            throw CommandFault.BadInput($"{file.Name} has {read.Count} usable rows; a back-test needs two weeks of hours.", "Columns: utc,ghi_Wm2,temp_C.");
        }

        read.Sort((a, b) => a.Time.CompareTo(b.Time));
        var site = new PanelSite(place, read[0].Time, read[^1].Time);
        double last = 0.6;
        foreach ((Instant time, double ghi, double air) in read)
        {
            double clear = site.Clear(time).Global.Value;
            last = clear > 60 ? Math.Clamp(ghi / clear, 0.02, 1.1) : last;
            _rows.Add((time, last, air));
        }
    }

    public Instant First => _rows[0].Time;

    public Instant Last => _rows[^1].Time;

    public double IndexAt(Instant time) => At(time).Index;

    public double AirAt(Instant time, Place place) => At(time).Air;

    public double MeanIndex => _rows.Average(row => row.Index);

    public (double Night, double Day) Temperatures =>
        (_rows.GroupBy(row => row.Time.InUtc().Date).Average(day => day.Min(row => row.Air)), _rows.GroupBy(row => row.Time.InUtc().Date).Average(day => day.Max(row => row.Air)));

    private (Instant Time, double Index, double Air) At(Instant time)
    {
        int low = 0;
        int high = _rows.Count - 1;
        while (low < high)
        {
            int middle = (low + high + 1) / 2;
            (low, high) = _rows[middle].Time <= time ? (middle, high) : (low, middle - 1);
        }

        return _rows[low];
    }
}
