using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Time;
using KitMesh.Sync.Journal;

namespace KitMesh.Sync.Session;

/// <content>What each frame of the peer does.</content>
public sealed partial class ExchangeSession
{
    /// <summary>A frame came from the peer.</summary>
    /// <param name="frame">The frame.</param>
    /// <param name="now">The clocks.</param>
    public void Receive(SessionFrame frame, SessionMoment now)
    {
        ArgumentNullException.ThrowIfNull(frame);
        _now = now;
        if (_closed)
        {
            return;
        }

        if (_peer is null && frame is not (HelloFrame or ByeFrame or OddFrame))
        {
            End(ByeReason.Protocol, $"{frame.GetType().Name} came before hello.");
            return;
        }

        if (IsWork(frame))
        {
            _workHeard++;
            _restStale = true;
        }

        switch (frame)
        {
            case HelloFrame hello: OnHello(hello); break;
            case HoldingsFrame holdings: OnHoldings(holdings); break;
            case ReportsFrame reports: OnReports(reports); break;
            case DurableFrame durable: OnDurable(durable); break;
            case CreditFrame credit: OnCredit(credit); break;
            case ClockProbeFrame probe: Say(new ClockEchoFrame(probe.Id, now.Device, now.Trust)); break;
            case ClockEchoFrame echo: OnEcho(echo); break;
            case FingerprintFrame fingerprint: OnFingerprint(fingerprint); break;
            case CompareFrame compare: _forks.Receive(compare); break;
            case ContentsFrame contents: OnContents(contents); break;
            case RestFrame rest: _workDoneByPeer = rest.Heard; break;
            case ByeFrame bye: Shut(new SessionAction.Closed(bye.Reason, bye.Words, ByPeer: true)); break;
            case OddFrame odd: OnOdd(odd); break;
        }
    }

    private void OnHello(HelloFrame hello)
    {
        if (_peer is not null)
        {
            End(ByeReason.Protocol, "A second hello came.");
            return;
        }

        if (Math.Min(hello.HighestVersion, _options.HighestVersion) < Math.Max(hello.LowestVersion, _options.LowestVersion))
        {
            bool peerIsOlder = hello.HighestVersion < _options.LowestVersion;
            End(
                ByeReason.Version,
                $"{hello.Node} speaks protocol versions {hello.LowestVersion} to {hello.HighestVersion}, {_options.Node} speaks "
                + $"{_options.LowestVersion} to {_options.HighestVersion}: install newer software on {(peerIsOlder ? hello.Node : _options.Node)}. Nothing is lost meanwhile.");
            return;
        }

        if (_options.ExpectedPeer is { } expected && hello.Node != expected)
        {
            End(ByeReason.Forbidden, $"The certificate names {expected}, the hello {hello.Node}.");
            return;
        }

        if (hello.Role == NodeRole.Hub && !_options.PeerMayBeHub)
        {
            End(ByeReason.Forbidden, $"{hello.Node} calls itself a hub, and its certificate does not.");
            return;
        }

        if (hello.Node == _options.Node)
        {
            End(ByeReason.Forbidden, $"Both sides call themselves {hello.Node}: every node needs a name of its own.");
            return;
        }

        _peer = hello;
        _credit = hello.CreditBytes;
        _terms = hello.Role == NodeRole.Hub ? _options.TermsOf?.Invoke(hello.Node) : null;
        _plan.Bind(_terms);
        _actions.Enqueue(new SessionAction.PeerKnown(hello));
        foreach (OriginHolding held in _journal.Have())
        {
            if (Concerns(held.Origin))
            {
                _progress.Of(held.Origin).Told = held.Ranges;
                _holdingsToSay.Enqueue(new Holding(held.Origin, held.Ranges, held.ChainSequence, held.ChainHash, held.Origin == _journal.Own));
            }
        }
    }

    private void OnHoldings(HoldingsFrame frame)
    {
        if (_heardHoldings)
        {
            End(ByeReason.Protocol, "Holdings came after the last of them.");
            return;
        }

        if (_heard.Count + frame.Holdings.Count > _options.MaxOrigins)
        {
            End(ByeReason.Protocol, $"More than {_options.MaxOrigins} origins were named.");
            return;
        }

        _heard.AddRange(frame.Holdings);
        if (frame.Last)
        {
            HeardAll();
        }
    }

    private void HeardAll()
    {
        foreach (Holding theirs in _heard)
        {
            if (PartsOverRestoredDisk(theirs.Origin, theirs.Ranges, theirs.ChainSequence, theirs.ChainHash))
            {
                return;
            }
        }

        _heardHoldings = true;
        foreach (Holding theirs in _heard)
        {
            OriginProgress progress = _progress.Of(theirs.Origin);
            progress.PeerHas = progress.PeerHas.Union(theirs.Ranges);
            if (_journal.Have(theirs.Origin) is { } mine)
            {
                CompareChains(mine, theirs, progress);
            }
        }

        _heard.Clear();
        foreach (OriginHolding mine in _journal.Have())
        {
            Offer(mine.Origin);
        }
    }

    /// <summary>Opens a new epoch and parts when the peer knows more of this node's own origin, or something else: then this disk was restored.</summary>
    private bool PartsOverRestoredDisk(OriginId origin, SequenceRanges ranges, ulong chainSequence, Sha256Hash chainHash)
    {
        if (origin != _journal.Own || RestoredDisk(ranges, chainSequence, chainHash) is not { } words)
        {
            return false;
        }

        _actions.Enqueue(new SessionAction.OpenEpoch(words));
        End(ByeReason.NewEpoch, words);
        return true;
    }

    private string? RestoredDisk(SequenceRanges ranges, ulong chainSequence, Sha256Hash chainHash)
    {
        ulong last = _journal.Have(_journal.Own)?.Ranges.Last ?? 0;
        if (ranges.Last > last)
        {
            return $"{_peer!.Node} holds report {ranges.Last} of {_journal.Own}, but the journal here ends at {last}: "
                + "this disk was restored or re-imaged. A new epoch is opened; what the hub holds stays.";
        }

        Sha256Hash? mine = chainSequence == 0 ? null : _journal.ChainAt(_journal.Own, chainSequence);
        return mine is { } hash && hash != chainHash
            ? $"{_peer!.Node} holds other reports of {_journal.Own} up to {chainSequence} than the journal here: "
                + "this disk was restored or re-imaged. A new epoch is opened; both sides' reports are kept."
            : null;
    }

    /// <summary>Starts the search for forks where chain hashes differ, and takes equal ones as acknowledgement.</summary>
    private void CompareChains(OriginHolding mine, Holding theirs, OriginProgress progress)
    {
        ulong common = Math.Min(mine.ChainSequence, theirs.ChainSequence);
        bool first = mine.ChainSequence > theirs.ChainSequence
            || (mine.ChainSequence == theirs.ChainSequence && _options.Node.CompareTo(_peer!.Node) < 0);
        Sha256Hash? here = common == 0 || theirs.ChainSequence != common ? null : _journal.ChainAt(mine.Origin, common);
        if (here is { } hash && hash != theirs.ChainHash)
        {
            if (first)
            {
                _forks.Ask(mine.Origin, mine.Kept.Intersect(SequenceRanges.Of(1, common)));
            }
        }
        else if (here is not null)
        {
            Acknowledge(mine.Origin, progress, theirs.ChainSequence);
        }

        // A link that sends the newest first makes gaps that it will fill; comparing behind each in every session would cost
        // more than it finds, and once they are filled the chains tell. A gap that nobody fills is compared behind.
        ulong next = common + 1;
        if (_terms is not null && (mine.Kept.Contains(next) || theirs.Ranges.Contains(next)))
        {
            return;
        }

        // Past the chains (behind a gap) only contents can be compared.
        SequenceRanges both = mine.Kept.Intersect(theirs.Ranges);
        SequenceRanges behind = common == 0 ? both : both.Except(SequenceRanges.Of(1, common));
        if (!behind.IsEmpty && _options.Node.CompareTo(_peer!.Node) < 0)
        {
            _forks.Ask(mine.Origin, behind);
        }
    }

    private void OnReports(ReportsFrame frame)
    {
        bool may = frame.Origin.Node == _peer!.Node || (_peer.Role == NodeRole.Hub && _options.PeerMayRelay);
        if (!may || !TakesReports)
        {
            End(ByeReason.Forbidden, $"{_peer.Node} may not hand over reports of {frame.Origin} here.");
            return;
        }

        if (!_incoming.TryReceive(frame.Cost))
        {
            End(ByeReason.Protocol, $"{_peer.Node} sent more than it was granted.");
            return;
        }

        var reports = new RawReport[frame.Reports.Count];
        for (int i = 0; i < reports.Length; i++)
        {
            reports[i] = new RawReport(new ReportKey(frame.Origin, frame.FirstSequence + (ulong)i), frame.Reports[i]);
        }

        // The peer has these, so they need not go back to it.
        OriginProgress progress = _progress.Of(frame.Origin);
        var range = new SequenceRange(frame.FirstSequence, frame.FirstSequence + (ulong)reports.Length - 1);
        progress.PeerHas = progress.PeerHas.With(range);
        _appends.Add(++_lastTicket, frame.Cost);
        _fingerprintStale = true;
        _actions.Enqueue(new SessionAction.Append(_lastTicket, reports));
    }

    private void OnDurable(DurableFrame frame)
    {
        _lastAnswer = _now.Machine;
        foreach (DurableOrigin news in frame.Origins)
        {
            if (_progress.Count >= _options.MaxOrigins)
            {
                End(ByeReason.Protocol, $"More than {_options.MaxOrigins} origins were named.");
                return;
            }

            OriginProgress progress = _progress.Of(news.Origin);
            progress.PeerHas = progress.PeerHas.Union(news.Ranges);
            if (news.Origin.Node == _options.Node && !OnOwnDurable(news, progress))
            {
                return;
            }
        }
    }

    /// <summary>
    /// What the peer has of this node's own: acknowledged only where its chain is this journal's. The numbers alone may stand for
    /// what was written before this disk was put back, and reach the peer from another hub in the middle of a session.
    /// </summary>
    /// <returns>False when the session ends over it.</returns>
    private bool OnOwnDurable(DurableOrigin news, OriginProgress progress)
    {
        if (PartsOverRestoredDisk(news.Origin, news.Ranges, news.ChainSequence, news.ChainHash))
        {
            return false;
        }

        if (news.ChainSequence > 0 && _journal.ChainAt(news.Origin, news.ChainSequence) == news.ChainHash)
        {
            Acknowledge(news.Origin, progress, news.ChainSequence);
        }

        return true;
    }

    /// <summary>Passes on that a hub holds this node's own reports, up to where the chains agree.</summary>
    private void Acknowledge(OriginId origin, OriginProgress progress, ulong upTo)
    {
        if (origin.Node == _options.Node && _peer!.Role == NodeRole.Hub && upTo > progress.Acknowledged)
        {
            progress.Acknowledged = upTo;
            _actions.Enqueue(new SessionAction.Acknowledged(origin, upTo));
        }
    }

    private void OnCredit(CreditFrame frame)
    {
        if (frame.Bytes > int.MaxValue - _credit)
        {
            End(ByeReason.Protocol, $"{_peer!.Node} granted more credit than there can be.");
            return;
        }

        _credit += frame.Bytes;
    }

    private void OnEcho(ClockEchoFrame echo)
    {
        if (_probing.Take(echo, _peer!.Node, _now) is { } pair)
        {
            _actions.Enqueue(new SessionAction.WriteOwn(pair));
        }
    }

    private void OnFingerprint(FingerprintFrame theirs)
    {
        bool sameHoldings = HoldingsFingerprint.Of(_journal.Have()) == theirs.Holdings;
        bool comparable = theirs.State is not null && theirs.FoldVersion == _options.FoldVersion && sameHoldings;
        bool? sameState = comparable && _stateFingerprint() is { } mine ? mine == theirs.State : null;
        _actions.Enqueue(new SessionAction.Compared(sameHoldings, sameState));
    }

    private void OnContents(ContentsFrame theirs)
    {
        ContentsFrame mine = ForkSearch.Tell(_journal, theirs.Origin, theirs.Range, answer: true);
        if (_peer!.Role == NodeRole.Hub)
        {
            foreach (ReportContent content in ForkSearch.Missing(mine.Contents, theirs.Contents))
            {
                _plan.Add(theirs.Origin, content);
            }
        }

        if (!theirs.Answer && _options.Role == NodeRole.Hub && ForkSearch.Missing(theirs.Contents, mine.Contents).Any())
        {
            _forks.Tell(theirs.Origin, theirs.Range);
        }
    }

    private void OnOdd(OddFrame odd)
    {
        if (odd.Malformed)
        {
            End(ByeReason.Protocol, $"A frame could not be read. {odd.Words}");
        }
        else
        {
            _actions.Enqueue(new SessionAction.Odd(odd.Words));
        }
    }
}
