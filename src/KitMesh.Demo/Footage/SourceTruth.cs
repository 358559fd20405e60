using System.Globalization;
using KitMesh.Demo.Chance;
using KitMesh.Domain.Kit;
using NodaTime;

namespace KitMesh.Demo.Footage;

/// <summary>One camera or recorder: what it really films each day, and onto which card.</summary>
public sealed class SourceTruth
{
    private const int PictureBytesPerSecond = 3_000;

    private readonly SeededChance _chance;
    private readonly double _habit;
    private readonly bool _isSound;
    private int _number;

    internal SourceTruth(FootageSource source, IReadOnlyList<CardTruth> cards, bool isSound, ulong seed)
    {
        Declared = source;
        Cards = cards;
        _isSound = isSound;
        _chance = new SeededChance(seed, $"source {source.Id}");
        _habit = _chance.Factor(0.2);
    }

    /// <summary>What the trip file says of it.</summary>
    public FootageSource Declared { get; }

    /// <summary>Its cards.</summary>
    public IReadOnlyList<CardTruth> Cards { get; }

    /// <summary>The card that is in it.</summary>
    public CardTruth InCamera { get; private set; } = null!;

    /// <summary>Footage that could not be filmed because its card was full and no other was free, in bytes.</summary>
    public long MissedBytes { get; private set; }

    /// <summary>Puts the emptiest card in; of two that are empty, the one that has rested.</summary>
    public void PickCard() => InCamera = Cards.OrderBy(card => card.UsedBytes).ThenBy(card => card == InCamera).First();

    /// <summary>Films one day.</summary>
    /// <param name="morning">When the filming day begins.</param>
    /// <param name="use">Share of an ordinary day: less on the move, in storms and at rest.</param>
    public void FilmDay(Instant morning, double use)
    {
        long wanted = (long)(Declared.GigabytesPerDay * 1e9 * _habit * use * _chance.Factor(Declared.Spread));
        int clips = _isSound ? _chance.Whole(1, 2) : _chance.Whole(2, 4);
        double hour = _chance.Between(0, 2);
        for (int i = 0; i < clips; i++)
        {
            int bytes = (int)Math.Max(4_096, wanted / clips * _chance.Between(0.7, 1.3));
            if (InCamera.UsedBytes + bytes > InCamera.Declared.Capacity.Value * 0.98)
            {
                MissedBytes += bytes;
                continue;
            }

            Write(bytes, morning + Duration.FromHours(hour));
            hour += _chance.Between(0.5, 3);
        }
    }

    private void Write(int bytes, Instant recorded)
    {
        _number++;
        string name = string.Create(CultureInfo.InvariantCulture, $"{(_isSound ? 'S' : 'P')}{_number:0000}.{(_isSound ? "WAV" : "MP4")}");
        string path = Path.Combine(InCamera.Folder, "CLIPS", name);
        if (_isSound)
        {
            ClipFile.WriteSound(path, bytes, _chance);
        }
        else
        {
            ClipFile.WritePicture(path, bytes, recorded, Math.Max(2, bytes / PictureBytesPerSecond), _chance);
        }

        File.SetLastWriteTimeUtc(path, recorded.ToDateTimeUtc());
        InCamera.UsedBytes += new FileInfo(path).Length;
        InCamera.Clips++;
    }
}
