using KitMesh.Domain;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;
using NodaTime;

namespace KitMesh.Footage.Ledger;

/// <summary>Counts one team's day while the clips are judged.</summary>
internal sealed class DayTally(LocalDate day, KitId? team, int caseCount)
{
    // The last cell is for drives that are in no declared case.
    private readonly int[] _clipsInCase = new int[caseCount + 1];
    private readonly int[] _copiesInCase = new int[caseCount + 1];
    private readonly int[] _mark = new int[caseCount + 1];
    private readonly int[] _agedInCase = new int[caseCount + 1];
    private readonly int[] _agedMark = new int[caseCount + 1];
    private long _size;
    private long _lengthTicks;
    private int _met;
    private int _leastCopies = int.MaxValue;
    private int _leastCases = int.MaxValue;
    private int _oneCopy;
    private int _noCopy;
    private int _clips;
    private long _oneCopySinceTicks = long.MaxValue;
    private int _inOneCase;
    private int _overdue;

    public LocalDate Day => day;

    public KitId? Team => team;

    public int Clips => _clips;

    public long SizeBytes => _size;

    /// <summary>Counts a clip.</summary>
    /// <param name="clip">The clip, judged.</param>
    /// <param name="goodCopies">Its copies that were proven and not found bad since, however long ago.</param>
    public void AddClip(in ClipEntry clip, int goodCopies)
    {
        if (goodCopies <= 1 && !clip.MeetsRuleButForAge)
        {
            _oneCopy++;
            _oneCopySinceTicks = Math.Min(_oneCopySinceTicks, clip.Facts.FirstTicks);
        }

        SettleCases();
        _noCopy += goodCopies == 0 && !clip.MeetsRuleButForAge ? 1 : 0;
        _clips++;
        _size += Math.Max(0, clip.Facts.Size);
        _lengthTicks += Math.Max(0, clip.LengthTicks);
        _met += clip.MeetsRule ? 1 : 0;
        _overdue += clip.MeetsRuleButForAge && !clip.MeetsRule ? 1 : 0;
        _leastCopies = Math.Min(_leastCopies, clip.Proof.Copies);
        _leastCases = Math.Min(_leastCases, clip.Proof.Cases);
        _inOneCase += clip.Proof is { Copies: > 0, Cases: <= 1 } ? 1 : 0;
    }

    public void AddCopy(int caseNumber)
    {
        int cell = caseNumber < 0 ? caseCount : caseNumber;
        _copiesInCase[cell]++;
        if (_mark[cell] != _clips + 1)
        {
            // Copies come before their clip is counted, so the clip's ordinal is one ahead.
            _mark[cell] = _clips + 1;
            _clipsInCase[cell]++;
        }
    }

    /// <summary>Counts a copy whose proof is only too old, before its clip is counted.</summary>
    public void AddOverdueCopy(int caseNumber)
    {
        int cell = caseNumber < 0 ? caseCount : caseNumber;
        if (_agedMark[cell] != _clips + 1)
        {
            _agedMark[cell] = _clips + 1;
            _agedInCase[cell]++;
        }
    }

    /// <summary>A clip with a proven and an overdue copy in one case is proven there.</summary>
    private void SettleCases()
    {
        for (int cell = 0; cell <= caseCount; cell++)
        {
            _agedInCase[cell] -= _agedMark[cell] == _clips + 1 && _mark[cell] == _clips + 1 ? 1 : 0;
        }
    }

    public DayRow ToRow(IReadOnlyList<KitId> cases) => new(
        day,
        team,
        _clips,
        new ByteCount(_size),
        Duration.FromTicks(_lengthTicks),
        _met,
        _leastCopies,
        _leastCases,
        Enumerable.Range(0, caseCount + 1)
            .Where(cell => _copiesInCase[cell] > 0 || _agedInCase[cell] > 0)
            .Select(cell => new CaseCell(cell < caseCount ? cases[cell] : null, _clipsInCase[cell], _copiesInCase[cell]) { OverdueClips = _agedInCase[cell] })
            .ToValueList())
    {
        OneCopyClips = _oneCopy,
        NoCopyClips = _noCopy,
        OneCopySince = _oneCopySinceTicks == long.MaxValue ? null : Instant.FromUnixTimeTicks(_oneCopySinceTicks),
        OneCaseClips = _inOneCase,
        OverdueClips = _overdue,
    };
}
